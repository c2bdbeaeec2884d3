package drivers

import (
	"fmt"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// evaluator is the memory that one goroutine evaluates the model in.
type evaluator struct {
	*Analysis
	y     [][]float64 // of a stretch
	moved [][]float64 // columns of values after a change
	part  [][]float64 // some rows
}

// stretch is how many rows the model gets at once.
const stretch = 256

func (a *Analysis) newEvaluator() *evaluator {
	return &evaluator{Analysis: a, y: batch.Columns(len(a.scenario.Model.Outputs()), stretch)}
}

// each shows the outputs at the columns of values x, of so many rows, a stretch from row low on after the other.
func (e *evaluator) each(x [][]float64, rows int, show func(low int, y [][]float64)) {
	for low := 0; low < rows; low += stretch {
		high := min(low+stretch, rows)
		y := batch.Rows(e.y, 0, high-low)
		e.scenario.Model.Evaluate(batch.Rows(x, low, high), y)
		show(low, y)
	}
}

// output fills y with the output at the columns of values x.
func (e *evaluator) output(x [][]float64, y []float64) {
	e.each(x, len(y), func(low int, all [][]float64) { copy(y[low:], all[e.Analysis.output]) })
}

// with returns the inputs with one changed.
func (a *Analysis) with(in Input, c Change) (*sim.Inputs, error) {
	variables := a.scenario.Inputs.Variables()
	return a.scenario.Inputs.WithDistributions(func(v sim.Variable) (dist.Distribution, error) {
		its := func(column int) bool { return variables[column].Name == v.Name }
		if !slices.ContainsFunc(in.Columns, its) {
			return v.Dist, nil
		}
		d, err := c.Apply(v.Dist)
		if err != nil {
			return nil, fmt.Errorf("%s %s: %w", in.Name, c, err)
		}
		return d, nil
	})
}

// after are the columns of values after a change: those of x, before it, but for the part that changes, which turn makes of
// its coordinates. They are of use up to the next change.
func (e *evaluator) after(in Input, c Change, x [][]float64, coordinates func(variable int, to []float64), turn func(inputs *sim.Inputs, from, x [][]float64)) ([][]float64, error) {
	inputs, err := e.with(in, c)
	if err != nil {
		return nil, err
	}
	columns := slices.Clone(in.Columns)
	for _, set := range inputs.CorrelatedSets() {
		if slices.ContainsFunc(in.Columns, func(i int) bool { return slices.Contains(set, i) }) {
			columns = append(columns, set...)
		}
	}
	x = slices.Clone(x)
	for n, i := range slices.Compact(slices.Sorted(slices.Values(columns))) {
		if n == len(e.moved) {
			e.moved = append(e.moved, make([]float64, len(x[i])))
		}
		x[i] = e.moved[n]
		coordinates(i, x[i])
	}
	turn(inputs.Part(in.Columns), x, x)
	return x, nil
}
