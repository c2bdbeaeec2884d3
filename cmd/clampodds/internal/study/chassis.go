package study

import (
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"clampodds/joint/card"
	"clampodds/sim"
)

// A study of a chassis has [[chassis.slot]] tables, in the order in which the coolant passes the
// slots. Each names the study of a card, whose inputs and limits it takes; what that study
// says of runs, verdicts, conditions, costs and options is not read. Keys of a card in the
// chassis' own file stand in place of what all card studies say.

// Chassis is what a study of a chassis has beside inputs and limits.
type Chassis struct {
	// Slots are in the order in which the coolant passes them.
	Slots []Slot
}

// Slot is one place of a chassis with its card.
type Slot struct {
	// Name is that of its [[chassis.slot]], with a number where that stands for several.
	Name string
	// Of is the name of the [[chassis.slot]], which inputs of its slots alone begin with; Card is the
	// file of the card's study.
	Of, Card string
	// Title is that of the card's study.
	Title  string
	Layout card.Layout

	card int // the number of its [[chassis.slot]]
}

// slotList is the key of the slots, chassisAny that of the targets for a chassis.
const (
	slotList   = "chassis.slot"
	chassisAny = "chassis.any"
)

var slotKeys = []string{"name", "card", "count", "replace"}

// mostSlots bounds a chassis: racks have two dozen.
const mostSlots = 64

// slotSources are the sources of the cards of one [[chassis.slot]].
type slotSources struct {
	*sources
	of    string
	slots []string // names
}

func (s *sources) collectChassis(c *collector, value any) {
	table, isTable := value.(map[string]any)
	if !isTable {
		c.descend("chassis", "chassis", value)
		return
	}
	rest := map[string]any{}
	for key, value := range table {
		if join("chassis", key) == slotList {
			s.put(entry{slotList, value, c.doc, slotList})
		} else {
			rest[key] = value
		}
	}
	c.table("chassis", "chassis", rest)
}

func (s *sources) readSlots() {
	e, ok := s.entries[slotList]
	if !ok {
		return
	}
	r := &reader{sources: s}
	cards := map[string]*sources{}
	for f := range r.tables(slotList, slotKeys) {
		if slot, ok := f.slot(cards); ok {
			s.slots = append(s.slots, slot)
		}
		if len(s.slots) > mostSlots {
			break // refused below
		}
	}
	if len(s.components) > 0 {
		r.problem(Problem{File: s.name, Key: "component", Message: "components stand in the studies of the cards", Hint: `a slot replaces their numbers: replace = { "component.NAME.power" = "20 W" }`})
	}
	switch n := len(s.slotNames()); {
	case len(r.problems) > 0:
		s.broken = true
	case n == 0:
		r.refuse(e, "", e.value, "a chassis has one slot or more", "")
	case n > mostSlots:
		r.refuse(e, "", e.value, fmt.Sprintf("a chassis has at most %d slots, this one has %d", mostSlots, n), "")
	}
	s.problems = append(s.problems, r.problems...)
}

func (s *sources) slotNames() (names []string) {
	for _, slot := range s.slots {
		names = append(names, slot.slots...)
	}
	return names
}

// slot reads one [[chassis.slot]].
func (f fields) slot(cards map[string]*sources) (slot slotSources, ok bool) {
	file := f.word("card")
	if file == "" {
		f.wrong("card", "a slot names the study of its card", `for instance card = "card.toml"`)
		return slot, false
	}
	slot.of = strings.TrimSuffix(path.Base(file), ".toml")
	if f.has("name") {
		slot.of = f.word("name")
	}
	taken := slices.ContainsFunc(f.slots, func(other slotSources) bool { return other.of == slot.of })
	if !componentName.MatchString(slot.of) || slot.of == AnyCard || taken || isTable(slot.of, knownKeys()) || slot.of == "component" {
		f.wrong("name", fmt.Sprintf("a slot needs a name of its own, of lower-case letters, digits, _ and -, and not that of a table: %q is none", slot.of), `name = "power"`)
		return slot, false
	}
	slot.slots = []string{slot.of}
	if f.has("count") {
		n, whole := f.table["count"].(int64)
		if !whole || n < 1 || n > mostSlots {
			f.wrong("count", fmt.Sprintf("a whole number from 1 to %d expected", mostSlots), "")
			return slot, false
		}
		if n > 1 {
			slot.slots = nil
			for i := range n {
				slot.slots = append(slot.slots, fmt.Sprintf("%s.%d", slot.of, i+1))
			}
		}
	}
	if slot.sources, ok = f.cardStudy(file, cards); ok {
		f.overlay(&slot)
	}
	return slot, ok
}

// cardStudy reads the study of a card, each file once.
func (f fields) cardStudy(file string, cards map[string]*sources) (*sources, bool) {
	name := beside(f.file(), file)
	if known, ok := cards[name]; ok {
		return known, true
	}
	text, err := f.open(name)
	if err != nil {
		f.wrong("card", openMessage(name, err), nearestFile(name, err))
		return nil, false
	}
	read := &sources{opened: f.opened, name: name, entries: map[string]entry{}}
	read.read(name, text, []string{f.name})
	f.reader.problems = append(f.reader.problems, read.problems...)
	if _, nested := read.entries[slotList]; nested {
		f.wrong("card", "it is the study of a chassis: a slot has a card", "")
		return nil, false
	}
	cards[name] = read
	return read, !read.broken
}

// overlay lays what the chassis says of all cards over a card, and then what its slot does.
func (f fields) overlay(slot *slotSources) {
	slot.sources = slot.replaced(nil)
	design := designKeys(nil)
	for _, key := range slices.Sorted(maps.Keys(f.entries)) {
		if own := f.entries[key]; design[key] || strings.HasPrefix(key, limitsTable+".") {
			f.loses(slot, own)
			slot.supersede(own)
			slot.lay(own)
		}
	}
	switch replaced, isTable := f.table["replace"].(map[string]any); {
	case isTable:
		of := fields{&reader{sources: slot.sources}, f.entry, f.part, f.table}
		known := designKeys(slot.components)
		for _, name := range limitNames(slot.components) {
			known[join(limitsTable, name)] = true
		}
		own := of.replacements(replaced, known, "the slot")
		f.loses(slot, own...)
		slot.sources = slot.replaced(own)
		f.reader.problems = append(f.reader.problems, of.reader.problems...)
	case f.table["replace"] != nil:
		f.wrong("replace", "a slot replaces keys of its card", `for instance replace = { "card.power" = "60 W" }`)
	}
}

// loses keeps the warnings of what the chassis takes of the scatter of a card.
func (f fields) loses(slot *slotSources, by ...entry) {
	for _, w := range slices.Concat(slot.lostScatter(by), slot.wider(by)) {
		if !slices.Contains(f.overlaid, w) {
			f.overlaid = append(f.overlaid, w)
		}
	}
}

// concerning are those of some entries that concern the cards of a slot: keys without the name of a
// slot first, so that one with it goes on top.
func (s *sources) concerning(slot *slotSources, all []entry) (list, named []entry) {
	for _, e := range all {
		of, key, _ := strings.Cut(e.key, ".")
		switch {
		case of == slot.of:
			e.key = key
			named = append(named, e)
		case of == "chassis", slices.ContainsFunc(s.slots, func(other slotSources) bool { return other.of == of }):
		default:
			list = append(list, e)
		}
	}
	return list, named
}

// withSlots are keys of a card; of a chassis also its own, and those of a slot behind its name.
func (s *sources) withSlots(keys func(components []string) map[string]bool) map[string]bool {
	known := keys(s.components)
	if len(s.slots) == 0 {
		return known
	}
	for _, p := range chassisTable {
		known[p.Key] = true
	}
	for _, slot := range s.slots {
		for key := range keys(slot.components) {
			known[key], known[join(slot.of, key)] = true, true
		}
	}
	return known
}

var chassisTable = []card.Parameter{
	{
		Key: "chassis.capacity_rate", Scope: card.PerCard, Unit: "W/K", Low: 1e-2, High: 1e6, UsualLow: 1, UsualHigh: 2e3, Zero: "the coolant does not warm from slot to slot",
		Meaning: "heat capacity rate of the coolant that passes the slots in their order, mass flow times specific heat",
	},
	{
		Key: "chassis.wall_resistance", Scope: card.PerCard, Unit: "K/W", Low: 1e-6, High: 100, UsualLow: 1e-4, UsualHigh: 1, Zero: "the wall is as warm as stated",
		Meaning: "from the wall that all slots share to the cold side: the wall warms by it times the heat of all cards",
	},
}

// chassis reads the slots and joins the inputs, limits and correlations of their cards.
func (r *reader) chassis(s *Study) (cards []*Study) {
	s.Chassis = &Chassis{}
	if e, ok := r.entries["run.cards_per_chassis"]; ok {
		r.refuse(e, "", e.value, "a chassis has as many cards as slots", "leave it out")
	}
	for i, slot := range r.slots {
		one, problems := interpret(slot.sources, slot.of)
		r.problems = append(r.problems, problems...)
		cards = append(cards, one)
		for _, w := range one.Warnings {
			if !slices.Contains(r.warnings, w) {
				r.warnings = append(r.warnings, w)
			}
		}
		for _, name := range slot.slots {
			s.Chassis.Slots = append(s.Chassis.Slots, Slot{Name: name, Of: slot.of, Card: one.Name, Title: one.Title, Layout: one.Layout, card: i})
		}
	}
	s.Run.CardsPerChassis = len(s.Chassis.Slots)
	for _, p := range chassisTable {
		s.Inputs = append(s.Inputs, r.chassisInput(p))
	}
	s.joinInputs(cards)
	s.joinCorrelations(cards)
	r.joinLimits(s, cards)
	r.oneWall(s)
	s.Correlations = append(s.Correlations, r.correlations(s.Inputs)...)
	if s.ConditionName == "" {
		r.notRead()
	}
	return cards
}

// onlyCard refuses what belongs to a chassis in the study of a card.
func (r *reader) onlyCard() {
	for _, key := range slices.Sorted(maps.Keys(r.entries)) {
		if strings.HasPrefix(key, "chassis.") {
			r.refuse(r.entries[key], "", r.entries[key].value, "this is the study of a card", "a chassis has [[chassis.slot]]")
		}
	}
}

func (r *reader) chassisInput(p card.Parameter) Input {
	in := Input{Key: p.Key, Parameter: p, Origin: Default, Nominal: p.Default, Source: "default"}
	e, ok := r.entries[p.Key]
	if !ok {
		return in
	}
	if given, ok := r.given(e, p); ok {
		in = given
		r.judge(&in)
	}
	if in.Level > sim.Chassis {
		in.Level = sim.Chassis // there is one
	}
	return in
}

// oneWall refuses walls that differ from slot to slot.
func (r *reader) oneWall(s *Study) {
	for i := range s.Inputs {
		in := &s.Inputs[i]
		if in.Parameter.Key != "wall.temperature" || in.slots == nil || len(in.slots) == len(s.Chassis.Slots) && in.Level <= sim.Chassis {
			continue
		}
		r.problem(Problem{
			File: in.File, Line: in.Line, Key: in.Key, Message: "all slots of a chassis share one wall: its temperature is one draw, the same for all",
			Hint: `give it in the chassis' own study, per = "chassis"`,
		})
		return
	}
}
