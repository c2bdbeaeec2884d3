package study

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"clampodds/sim"
)

// AnyCard stands in place of a slot's name where any card of the chassis is meant.
const AnyCard = "any"

// joinInputs adds the inputs of the cards. Those that the cards state alike are one input: a draw per design,
// lot or chassis is then one for all of its slots, any other is each slot's own. The key
// of an input that not all slots share begins with the names of those that do.
func (s *Study) joinInputs(cards []*Study) {
	var keys []string
	for _, one := range cards {
		for _, in := range one.Inputs {
			if !slices.Contains(keys, in.Key) && !in.partOfOpen() {
				keys = append(keys, in.Key)
			}
		}
	}
	first := len(s.Inputs)
	for _, key := range keys {
		var alike []Input
		var of [][]string
		for c, one := range cards {
			in := one.Input(key)
			if in == nil {
				continue
			}
			at := slices.IndexFunc(alike, func(other Input) bool {
				return sameInput(&other, in) && (other.open == nil || other.open.readings == in.open.readings)
			})
			if at < 0 {
				at = len(alike)
				joined := *in
				joined.own, joined.Assumed = key, false
				alike, of = append(alike, joined), append(of, nil)
			}
			alike[at].slots, of[at] = append(alike[at].slots, s.Chassis.with(c)...), append(of[at], s.Chassis.Slots[s.Chassis.with(c)[0]].Of)
		}
		most := 0
		for i := range alike {
			if len(alike[i].slots) < len(s.Chassis.Slots) {
				alike[i].Key = strings.Join(of[i], "+") + "." + key
			}
			if len(alike[i].slots) > len(alike[most].slots) {
				most = i
			}
		}
		if len(alike) > 1 {
			alike[most].most = true
		}
		s.Inputs = append(s.Inputs, alike...)
	}
	s.Inputs = append(s.Inputs[:first:first], withParts(s.Inputs[first:])...)
}

// partOfOpen reports whether the input stands for what readings leave open of another, or for the level of its lot.
func (in *Input) partOfOpen() bool {
	return strings.HasSuffix(in.Key, openMean) || strings.HasSuffix(in.Key, openSpread) || strings.HasSuffix(in.Key, levelOfLot)
}

// in reports whether the input belongs to the card of a slot, by its number.
func (in *Input) in(slot int) bool { return in.slots == nil || slices.Contains(in.slots, slot) }

// joined is the input of a slot's card, by the key it has there.
func (s *Study) joined(slot int, key string) *Input {
	for i := range s.Inputs {
		if in := &s.Inputs[i]; in.own == key && in.in(slot) {
			return in
		}
	}
	return nil
}

// joinCorrelations adds the correlations of the cards between the joined inputs.
func (s *Study) joinCorrelations(cards []*Study) {
	for slot, place := range s.Chassis.Slots {
		for _, c := range cards[place.card].Correlations {
			a, b := s.joined(slot, c.A), s.joined(slot, c.B)
			if a != nil && b != nil && !correlated(s.Correlations, a, b) {
				c.A, c.B = a.Key, b.Key
				s.Correlations = append(s.Correlations, c)
			}
		}
	}
}

// with are the slots, by number, of a [[chassis.slot]].
func (c *Chassis) with(card int) (slots []int) {
	for i, slot := range c.Slots {
		if slot.card == card {
			slots = append(slots, i)
		}
	}
	return slots
}

// joinLimits adds the limits of the cards slot by slot, and then those for any card of the chassis: how far
// above its own limit the worst card is.
func (r *reader) joinLimits(s *Study, cards []*Study) {
	var every []Limit // of any card
	for _, slot := range s.Chassis.Slots {
		for _, l := range cards[slot.card].Limits {
			if !slices.ContainsFunc(every, func(other Limit) bool { return other.Name == AnyCard+"/"+l.Name }) {
				every = append(every, Limit{
					Name: AnyCard + "/" + l.Name, Output: AnyCard + "/" + l.Output, Quantity: l.Quantity.Difference(), Unit: differenceOf(l.Unit),
					Typed: "0", Source: "the card's own limit in each slot", File: l.File, Line: l.Line,
				})
			}
			l.Name, l.Output = slot.Name+"/"+l.Name, slot.Name+"/"+l.Output
			s.Limits = append(s.Limits, l)
		}
	}
	r.anyTargets(every)
	s.Limits = append(s.Limits, every...)
}

// differenceOf is the unit that differences of values in a unit are shown in.
func differenceOf(unit string) string {
	switch unit {
	case "degC":
		return "K"
	case "degF":
		return "ddegF"
	}
	return unit
}

// anyTargets reads chassis.any, the accepted probabilities that any card of a chassis exceeds a limit of its own.
func (r *reader) anyTargets(every []Limit) {
	e, ok := r.entries[chassisAny]
	if !ok {
		return
	}
	table, isTable := e.value.(map[string]any)
	if !isTable {
		r.refuse(e, "", e.value, "a table of limits with the accepted probability for a chassis expected", "for instance { spot = 0.01 }")
	}
	flat := map[string]any{}
	f := fields{r, e, "", flat}
	flatten("", table, flat)
	for _, name := range slices.Sorted(maps.Keys(flat)) {
		at := slices.IndexFunc(every, func(l Limit) bool { return l.Name == AnyCard+"/"+name })
		if at < 0 {
			f.wrong(name, "no card of the chassis has a limit of that name", "")
			continue
		}
		every[at].Target, every[at].File, every[at].Line = f.probability(name), e.doc.file, e.line("."+name)
		r.judgeTarget(&every[at])
	}
}

// flatten gives tables within tables dotted keys.
func flatten(name string, table, flat map[string]any) {
	for key, value := range table {
		if inner, isTable := value.(map[string]any); isTable {
			flatten(join(name, key), inner, flat)
		} else {
			flat[join(name, key)] = value
		}
	}
}

// sameInAll is the error for what the cards of a chassis state differently where one value is
// expected.
func (s *Study) sameInAll(key string) error {
	if s.Chassis == nil || s.Input(key) != nil || len(s.Edges(key)) == 0 {
		return nil
	}
	return fmt.Errorf("%s is not the same in all slots: give it once in the chassis' own study, %s = ..., to look for it", key, key)
}

// perSlot reports whether each slot draws the input for itself.
func (in *Input) perSlot() bool { return in.slots != nil && in.Level > sim.Chassis }
