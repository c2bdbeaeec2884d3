package study

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
)

// Condition is a named set of replaced inputs: as built, after ageing, at
// altitude, hot day.
type Condition struct {
	Name string
	// Share is the share of the mission's time; 0 when unset.
	Share float64
	// Informative: it is shown, and not judged.
	Informative bool
	// Replaced are the keys it replaces, or changes by ageing or reinsertion,
	// sorted.
	Replaced []string
	File     string
	Line     int

	entries []entry
	drifts  []drift
	list    entry // that it stands in
}

// AsWritten names the study itself among its conditions.
const AsWritten = "as written"

var conditionKeys = []string{"name", "share", "replace", "ageing", "reinsertion", "source", "informative"}

func (r *reader) conditions() []Condition {
	var list []Condition
	names, total := map[string]bool{AsWritten: true}, 0.0
	share := func(x float64) bool { // adds up as it judges
		total += x
		return shareOfTime.fits(x) && total <= 1+1e-9 // 0.1 + 0.2 + 0.7 rounds
	}
	for f := range r.tables("condition", conditionKeys) {
		c := Condition{Name: f.ownName("a condition", names), Informative: f.flag("informative"), File: f.file(), Line: f.line(), list: f.entry}
		if f.has("share") {
			c.Share, _ = f.number("share", units.Number, share, shareOfTime.wanted)
		}
		f.changes(&c)
		list = append(list, c)
	}
	return list
}

func (f fields) changes(c *Condition) {
	if f.has("replace") || !f.has("ageing") && !f.has("reinsertion") {
		f.replace(c)
	}
	if f.has("ageing") {
		f.ageing(c)
	}
	if f.has("reinsertion") {
		f.reinsertion(c)
	}
}

func (f fields) replace(c *Condition) {
	table, _ := f.table["replace"].(map[string]any)
	if len(table) == 0 {
		f.wrong("replace", "a condition replaces inputs", `for instance replace = { "wall.temperature" = "55 degC" }`)
		return
	}
	c.entries = f.replacements(table, f.withSlots(conditionable), "the condition")
	c.Replaced = keysOf(c.entries)
}

// conditionable are the keys that a condition may replace.
func conditionable(components []string) map[string]bool {
	keys := inputKeys(components)
	keys["gas.kind"] = true
	return keys
}

// replacements reads the table of keys under replace with what stands in their place.
func (f fields) replacements(table map[string]any, known map[string]bool, who string) (list []entry) {
	within := sources{opened: f.opened, entries: map[string]entry{}, components: f.components, slots: f.slots}
	collect := collector{doc: f.entry.doc, known: known, problem: f.problem, add: func(replaced entry) {
		if clash, clashes := within.lay(replaced); clashes {
			f.problem(replaced.problem("", replaced.value, who+" replaces the input for both edges together and for one apart, in line "+strconv.Itoa(clash.line("")), ""))
		}
		list = append(list, replaced)
	}}
	collect.table("", f.entry.path+f.part+".replace", table)
	return list
}

func keysOf(entries []entry) (keys []string) {
	for _, e := range entries {
		keys = append(keys, e.key)
	}
	return keys
}

// drift is what a condition does to an input as the study has it: factor·x +
// shift.
type drift struct {
	key           string
	factor, shift float64
	path          string // where it stands within the conditions
}

// duration is a quantity of time; a bare number counts cycles instead.
const duration units.Quantity = "s"

var (
	ageingKeys      = []string{"after", "from", "slope", "recheck", "source"}
	reinsertionKeys = []string{"times", "drift", "constant", "inputs", "source"}
)

// ageing reads how the preload loss grows with the logarithm of time or of
// cycles:
//
//	loss = loss_1 (1 + slope log10(x/x_1))
//
// loss_1 is the screw.preload_loss of the study, reached at x_1 (from), slope
// its growth per decade, x the time or the number of cycles since the screw was
// tightened last (after, or recheck when that comes sooner). A re-check counts as
// a fresh joint just before the next one is due, which is the safe reading: a
// settled joint loses less. Logarithmic relaxation: common practice, no source.
func (f fields) ageing(c *Condition) {
	f, ok := f.change("ageing", ageingKeys, `ageing = { after = "20000 h", from = "24 h", slope = 0.1, recheck = "4000 h" }`)
	if !ok {
		return
	}
	quantity := duration
	if _, isText := f.table["after"].(string); !isText {
		quantity = units.Number
	}
	from, _ := f.number("from", quantity, agedFrom.fits, agedFrom.wanted)
	slope := f.within("slope", growth)
	notBefore := func(x float64) bool { return x >= from }
	since, _ := f.number("after", quantity, notBefore, "after is not to be before from")
	if f.has("recheck") {
		recheck, _ := f.number("recheck", quantity, notBefore, "recheck is not to be before from")
		since = min(since, recheck)
	}
	factor := 1 + slope*math.Log10(since/from)
	c.drift(drift{key: "screw.preload_loss", factor: factor, path: f.part})
}

// reinsertion reads how friction drifts when the card is put in again and again:
//
//	μ(N) = μ_1 + Δμ (1 - exp(-N/N_c))
//
// N is times, Δμ drift, which may be negative, N_c constant. Wear of the faces
// raises friction, running-in and spread lubricant lower it; the exponential is
// common practice without a source, its numbers are the study's.
func (f fields) reinsertion(c *Condition) {
	f, ok := f.change("reinsertion", reinsertionKeys, `reinsertion = { times = 50, drift = 0.03, constant = 20, inputs = ["friction.ramp"] }`)
	if !ok {
		return
	}
	times, constant, size := f.within("times", insertions), f.within("constant", insertionsOf), f.within("drift", frictionMove)
	inputs, _ := f.table["inputs"].([]any)
	if len(inputs) == 0 {
		f.wrong("inputs", "a list of friction coefficients expected", "of "+strings.Join(frictionKeys, ", "))
	}
	for i, input := range inputs {
		key, _ := input.(string)
		if !slices.Contains(frictionKeys, key) {
			f.refuse(f.entry, fmt.Sprintf("%s.inputs[%d]", f.part, i), input, "one of "+strings.Join(frictionKeys, ", ")+" expected", didYouMean(key, frictionKeys))
			continue
		}
		c.drift(drift{key: key, factor: 1, shift: size * -math.Expm1(-times/constant), path: f.part})
	}
}

// change is the table of what changes inputs under a condition.
func (f fields) change(key string, known []string, example string) (fields, bool) {
	return f.tableAt(f.entry, f.part+"."+key, f.table[key], known, "a table expected", example)
}

// frictionKeys are the inputs that reinsertion can change.
var frictionKeys = []string{"screw.thread_friction", "screw.head_friction", "friction.ramp", "friction.wall"}

func (c *Condition) drift(d drift) {
	c.drifts = append(c.drifts, d)
	if !slices.Contains(c.Replaced, d.key) {
		c.Replaced = append(c.Replaced, d.key)
		slices.Sort(c.Replaced)
	}
}

func (s *sources) condition(c Condition) (*Study, Problems) {
	derived, problems := interpret(s.replaced(c.entries), c.Name)
	if len(problems) > 0 {
		return derived, problems
	}
	for _, d := range c.drifts {
		for i := range derived.Inputs {
			in := &derived.Inputs[i]
			if in.Parameter.Key != d.key {
				continue
			}
			if in.Nominal == 0 && in.Dist == nil && d.shift == 0 {
				problems = append(problems, c.list.problem(d.path, nil, in.Key+" is 0 and grows to nothing", "give it, or replace it in the condition"))
			}
			if err := in.drift(d); err != nil {
				problems = append(problems, c.list.problem(d.path, nil, fmt.Sprintf("%s: %v", in.Key, err), ""))
			}
		}
	}
	return derived, problems
}

func (in *Input) drift(d drift) error {
	in.Nominal = d.factor*in.Nominal + d.shift
	if p := in.Parameter; !(in.Nominal >= p.Low && in.Nominal <= p.High) {
		return fmt.Errorf("becomes %s, allowed is %s to %s", in.Format(in.Nominal), in.Format(p.Low), in.Format(p.High))
	}
	if in.Dist == nil {
		return nil
	}
	return in.move(d.factor, d.shift)
}
