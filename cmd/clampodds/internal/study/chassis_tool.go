package study

import (
	"fmt"
	"slices"
	"strings"
)

// What a card study says of its torque, beside that torque itself, a chassis takes over where all cards that say it agree. The clamp
// maker's limits are a matter of safety: where they differ the strictest holds for all slots.
const (
	// TorqueLimitsDiffer: the cards of a chassis have different limits of the clamp maker.
	TorqueLimitsDiffer Code = "torque-limits-differ"
	// TorqueKeysDiffer: what the cards say of the torque tool differs, and is not taken.
	TorqueKeysDiffer Code = "torque-keys-differ"
	// CardNotRead: a card study says something that turns verdicts and that a chassis does not read.
	CardNotRead Code = "not-read-of-card"
)

// joinTool takes over the [torque] of the cards, over which that of the chassis itself lies already.
func (r *reader) joinTool(t *Tool, cards []*Study) {
	for _, k := range []struct {
		key    string
		of     func(*Tool) *float64
		strict func(a, b float64) float64 // nil where none is stricter
	}{
		{"torque.least", func(t *Tool) *float64 { return &t.Least }, func(a, b float64) float64 { return max(a, b) }},
		{"torque.most", func(t *Tool) *float64 { return &t.Most }, func(a, b float64) float64 { return min(a, b) }},
		{"torque.margin", func(t *Tool) *float64 { return &t.Margin }, nil},
		{"torque.largest_tolerance", func(t *Tool) *float64 { return &t.LargestTolerance }, nil},
		{"torque.resolution", func(t *Tool) *float64 { return &t.Resolution }, nil},
		{"torque.tool_class", func(t *Tool) *float64 { return &t.Class }, nil},
	} {
		joined, differ := 0.0, false
		for _, one := range cards {
			switch value := *k.of(&one.Tool); {
			case value == 0 || value == joined:
			case joined == 0:
				joined = value
			default:
				differ = true
				if k.strict != nil {
					joined = k.strict(joined, value)
				}
			}
		}
		switch {
		case differ && k.strict != nil:
			r.toolDiffers(TorqueLimitsDiffer, k.key, "the strictest holds for all slots; one for all in the chassis' own study stands in place of them")
		case differ:
			joined = 0
			r.toolDiffers(TorqueKeysDiffer, k.key, "none of them is taken; state it in the chassis' own study")
		}
		*k.of(t) = joined
	}
	if at := slices.IndexFunc(cards, func(one *Study) bool { return one.Tool.Scatter != cards[0].Tool.Scatter }); at >= 0 {
		r.toolDiffers(TorqueKeysDiffer, "torque.scatter", t.Scatter.String()+" is taken; state it in the chassis' own study")
	} else if len(cards) > 0 {
		t.Scatter = cards[0].Tool.Scatter
	}
	if t.Least > 0 && t.Most > 0 && t.Least >= t.Most {
		r.problem(Problem{File: r.name, Key: "torque.least", Message: "no torque is allowed in all slots: the largest torque.least of the cards is not below the smallest torque.most", Hint: "state both in the chassis' own study, [torque]"})
	}
}

// toolDiffers warns of a key of [torque] on which the cards do not agree, with what each says.
func (r *reader) toolDiffers(code Code, key, then string) {
	var say []string
	for _, slot := range r.slots {
		if e, ok := slot.entries[key]; ok {
			say = append(say, fmt.Sprintf("%s %v", slot.of, e.value))
		}
	}
	r.warnings = append(r.warnings, Warning{Code: code, File: r.name, Key: key, Message: "the cards differ, " + strings.Join(say, ", ") + ": " + then})
}

// notRead warns of what a card study says of conditions and verdicts, which a chassis does not read and does not say itself.
func (r *reader) notRead() {
	var seen []string
	for _, slot := range r.slots {
		if slices.Contains(seen, slot.name) {
			continue
		}
		seen = append(seen, slot.name)
		warn := func(e entry, message string) {
			r.warnings = append(r.warnings, Warning{Code: CardNotRead, File: e.doc.file, Line: e.line(""), Key: e.key, Message: message})
		}
		if e, ok := slot.entries["condition"]; ok {
			own := memberNames(r.entries["condition"].value)
			names := slices.DeleteFunc(memberNames(e.value), func(name string) bool { return slices.Contains(own, name) })
			if len(names) > 0 {
				warn(e, fmt.Sprintf("the chassis does not judge %s of the card of slot %s: repeat in the chassis' own study what is to hold there, its [[condition]] is for all slots", strings.Join(names, ", "), slot.of))
			}
		}
		for _, key := range []string{"verdict.policy", "verdict.assumed", "run.confidence", "change.margin"} {
			e, ok := slot.entries[key]
			if _, own := r.entries[key]; ok && !own {
				warn(e, fmt.Sprintf("not read of the card of slot %s: the chassis has its own; state it there if it is to hold", slot.of))
			}
		}
	}
}

// wider warns of the clamp maker's limits of a chassis that allow what its card does not.
func (slot *slotSources) wider(by []entry) (list []Warning) {
	for _, own := range by {
		e, ok := slot.entries[own.key]
		if !ok || own.key != "torque.least" && own.key != "torque.most" {
			continue
		}
		card, err := parseQuantity(e.value, "N*m")
		chassis, failed := parseQuantity(own.value, "N*m")
		if err == nil && failed == nil && card.SI != chassis.SI && (chassis.SI > card.SI) == (own.key == "torque.most") {
			list = append(list, Warning{Code: TorqueLimitsDiffer, File: own.doc.file, Line: own.line(""), Key: own.key,
				Message: fmt.Sprintf("the chassis allows %v, wider than %v of the card of slot %s: its own holds for all slots", own.value, e.value, slot.of)})
		}
	}
	return list
}
