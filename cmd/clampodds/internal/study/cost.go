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
	var list []Cost
	for f := range r.tables("cost", costKeys) {
		c := Cost{Input: f.word("input")}
		at := slices.IndexFunc(inputs, func(in Input) bool { return in.Key == c.Input })
		switch {
		case at < 0 && sideHint(c.Input, inputs) != "":
			f.wrong("input", "there is no such input", sideHint(c.Input, inputs))
		case at < 0 && !inputKeys(r.components)[c.Input]:
			f.wrong("input", "the key of an input expected", nearestKey(c.Input, inputKeys(r.components)))
		case at >= 0 && inputs[at].Dist == nil:
			f.wrong("input", "this input is constant: it has no tolerance to change", "")
		case slices.ContainsFunc(list, func(other Cost) bool { return other.Input == c.Input }):
			f.wrong("input", "the costs of this input are there already", "")
		}
		c.Steps = f.costSteps()
		list = append(list, c)
	}
	return list
}

// costSteps reads the steps on offer for one input.
func (f fields) costSteps() []CostStep {
	steps, _ := f.table["steps"].([]any)
	if len(steps) == 0 {
		f.wrong("steps", "a list of steps expected", "for instance steps = [{ spread = 1, cost = 0 }, { spread = 0.5, cost = 12 }]")
	}
	var list []CostStep
	for i, value := range steps {
		step, ok := f.tableAt(f.entry, fmt.Sprintf("%s.steps[%d]", f.part, i), value, costStepKeys, "a step is a table", "{ spread = 0.5, cost = 12 }")
		if !ok {
			continue
		}
		spread, _ := step.number("spread", units.Number, func(x float64) bool { return x >= 0 && x <= 100 }, "a factor of the spread from 0 to 100 expected")
		list = append(list, CostStep{Spread: spread, Cost: step.cost(), Label: step.text("label")})
	}
	return list
}

// cost reads that of what is on offer.
func (f fields) cost() float64 {
	cost, _ := f.number("cost", units.Number, func(x float64) bool { return x >= 0 }, "a cost of 0 or more expected")
	return cost
}
