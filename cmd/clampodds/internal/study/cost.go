package study

import (
	"fmt"
	"slices"

	"clampodds/cmd/clampodds/internal/units"
)

// Cost is what tolerances on offer for one input cost.
type Cost struct {
	// Input is the key of the input, which scatters.
	Input string
	Steps []CostStep
	File  string
	Line  int
}

// CostStep is one tolerance on offer.
type CostStep struct {
	// Spread multiplies the spread of the input, or its size where it is a
	// deviation from zero; 1 is the study as written.
	Spread float64
	// Cost is in the unit of the study's choice, the same for all steps.
	Cost float64
	// Label says what it is, "lapped"; may be empty.
	Label string
}

var (
	costKeys     = []string{"input", "steps", "source"}
	costStepKeys = []string{"spread", "cost", "label"}
)

// costs reads [[cost]].
func (r *reader) costs(inputs []Input) []Cost {
	e, ok := r.entries["cost"]
	if !ok {
		return nil
	}
	var list []Cost
	for i, table := range elements(e, e.value, r.problem) {
		part := fmt.Sprintf("[%d]", i)
		unknownKeys(e, part, table, costKeys, r.problem)
		c := Cost{File: e.doc.file, Line: e.line(part)}
		c.Input, _ = table["input"].(string)
		at := slices.IndexFunc(inputs, func(in Input) bool { return in.Key == c.Input })
		switch {
		case at < 0 && sideHint(c.Input, inputs) != "":
			r.refuse(e, part+".input", table["input"], "there is no such input", sideHint(c.Input, inputs))
		case at < 0 && !inputKeys(r.components)[c.Input]:
			r.refuse(e, part+".input", table["input"], "the key of an input expected", nearestKey(c.Input, inputKeys(r.components)))
		case at >= 0 && inputs[at].Dist == nil:
			r.refuse(e, part+".input", table["input"], "this input is constant: it has no tolerance to change", "")
		case slices.ContainsFunc(list, func(other Cost) bool { return other.Input == c.Input }):
			r.refuse(e, part+".input", table["input"], "the costs of this input are there already", "")
		}
		c.Steps = r.costSteps(e, part+".steps", table["steps"])
		list = append(list, c)
	}
	return list
}

// costSteps reads the steps on offer for one input.
func (r *reader) costSteps(e entry, part string, value any) []CostStep {
	steps, _ := value.([]any)
	if len(steps) == 0 {
		r.refuse(e, part, value, "a list of steps expected", "for instance steps = [{ spread = 1, cost = 0 }, { spread = 0.5, cost = 12 }]")
	}
	var list []CostStep
	for i, value := range steps {
		at := fmt.Sprintf("%s[%d]", part, i)
		table, ok := value.(map[string]any)
		if !ok {
			r.refuse(e, at, value, "a step is a table", "for instance { spread = 0.5, cost = 12 }")
			continue
		}
		unknownKeys(e, at, table, costStepKeys, r.problem)
		spread, ok := r.quantity(e, at+".spread", table["spread"], units.Number, 1)
		if ok && !(spread.SI >= 0 && spread.SI <= 100) {
			r.refuse(e, at+".spread", table["spread"], "a factor of the spread from 0 to 100 expected", "")
		}
		step := CostStep{Spread: spread.SI, Cost: r.costAt(e, at, table)}
		if v, ok := table["label"]; ok {
			if step.Label, ok = v.(string); !ok {
				r.refuse(e, at+".label", v, "a text in quotes expected", "")
			}
		}
		list = append(list, step)
	}
	return list
}

// costAt reads the cost of what is on offer.
func (r *reader) costAt(e entry, at string, table map[string]any) float64 {
	cost, ok := r.quantity(e, at+".cost", table["cost"], units.Number, 1)
	if ok && !(cost.SI >= 0) {
		r.refuse(e, at+".cost", table["cost"], "a cost of 0 or more expected", "")
	}
	return cost.SI
}
