package sim

import (
	"context"
	"fmt"
	"slices"

	"clampodds/sim/batch"
)

// Evaluate runs the model of inputs on points of the caller's own:
// from[i][r] is the coordinate of variable i in row r, y[j][r] receives output j.
// turn makes values of coordinates: (*Inputs).Transform for the unit cube,
// (*Inputs).FromNormal for normal scores. The rows, whole groups of the inputs, are
// split among workers goroutines (0 for one per processor); what y receives does
// not depend on how many. from is not changed. Safe for concurrent use.
func Evaluate(inputs *Inputs, model Model, turn func(inputs *Inputs, from, x [][]float64), from, y [][]float64, workers int) {
	if len(y) == 0 {
		return
	}
	rows, group := len(y[0]), inputs.rowsPerGroup
	if rows%group != 0 { // the draws of a group that is cut off are not made
		panic(fmt.Sprintf("sim: %d rows are no whole groups of %d", rows, group))
	}
	share := (rows + batch.Workers(workers) - 1) / batch.Workers(workers)
	share = (min(share, evaluateRows) + group - 1) / group * group
	pieces := (rows + share - 1) / share
	scratch := func() [][]float64 { return batch.Columns(len(inputs.variables), share) }
	err := batch.EachWith(context.Background(), workers, pieces, scratch, func(x [][]float64, i int) error {
		low, high := i*share, min((i+1)*share, rows)
		x = batch.Rows(x, 0, high-low)
		turn(inputs, batch.Rows(from, low, high), x)
		model.Evaluate(x, batch.Rows(y, low, high))
		return nil
	})
	if err != nil {
		panic(err) // no task returns one
	}
}

// evaluateRows is how many rows Evaluate gives the model at most in one go.
const evaluateRows = 1024

// Partial is a Model of several things, one of which can be evaluated without the others: a
// chassis, one of whose cards is asked for.
type Partial interface {
	Model
	// Only returns a model with these outputs, and perhaps others, and the input columns
	// that it reads, nil for all; x of the others may be nil. It returns no model where nothing can be left out.
	Only(outputs ...string) (Model, []int)
}

// Only returns the scenario as far as some outputs need it: with fewer variables, where its model is a
// Partial that can do with less. Variables keep their names, and so their draws. Requirements are
// left as they are, those on outputs that are gone included.
func (s Scenario) Only(outputs ...string) Scenario {
	whole, ok := s.Model.(Partial)
	if !ok {
		return s
	}
	model, columns := whole.Only(outputs...)
	if model == nil {
		return s
	}
	if columns == nil {
		s.Model = model
		return s
	}
	all := len(s.Inputs.variables)
	s.Inputs, columns = s.Inputs.only(columns)
	s.Model = &onColumns{model, columns, all}
	return s
}

// onColumns is a model that gets some of its columns, in the order of columns.
type onColumns struct {
	Model
	columns []int
	all     int
}

func (m *onColumns) Evaluate(x, y [][]float64) {
	whole := make([][]float64, m.all)
	for i, column := range m.columns {
		whole[column] = x[i]
	}
	m.Model.Evaluate(whole, y)
}

// only returns the inputs of some variables, by position, and of those that are correlated with
// them: all that it has, ascending.
func (in *Inputs) only(columns []int) (*Inputs, []int) {
	columns = slices.Clone(columns)
	for _, b := range in.correlated {
		if slices.ContainsFunc(b.index, func(i int) bool { return slices.Contains(columns, i) }) {
			columns = append(columns, b.index...)
		}
	}
	slices.Sort(columns)
	columns = slices.Compact(columns)
	part := &Inputs{rowsPerGroup: in.rowsPerGroup}
	for _, i := range columns {
		part.variables = append(part.variables, in.variables[i])
	}
	place := func(of []int) (kept []int) {
		for _, i := range of {
			if at, ok := slices.BinarySearch(columns, i); ok {
				kept = append(kept, at)
			}
		}
		return kept
	}
	part.independent = place(in.independent)
	for _, b := range in.correlated {
		if index := place(b.index); len(index) > 0 {
			part.correlated = append(part.correlated, correlatedBlock{index, b.lower})
		}
	}
	return part, columns
}

// unspared is where the rows of a scenario that are not spared are gathered.
type unspared struct {
	rows []int
	x    [][]float64
}

// checkSpares refuses what is not counted right where rows are spared.
func (r *Run) checkSpares() error {
	if r.Spares == nil {
		return nil
	}
	if len(r.Spares) != len(r.Scenarios) || !r.LimitsOnly || r.Draws != nil {
		return fmt.Errorf("rows are spared: of each scenario, with limits only, without draws")
	}
	for s, by := range r.Spares {
		if slices.ContainsFunc(by, func(i int) bool { return i < 0 || i >= s }) {
			return fmt.Errorf("scenario %d spares rows by %v: must come before it", s+1, by)
		}
	}
	return nil
}

// gather lists the rows of a scenario in which one of the others exceeds anything, and returns their inputs
// and room for their outputs.
func (w *worker) gather(s int, by []int) (x, y [][]float64) {
	if w.unspared.x == nil {
		most := 0
		for _, b := range w.scenarios {
			most = max(most, len(b.x))
		}
		w.unspared.x = batch.Columns(most, cap(w.marked))
	}
	clear(w.marked)
	for _, i := range by {
		for _, exceeded := range w.scenarios[i].exceeded {
			for r, yes := range exceeded {
				w.marked[r] = w.marked[r] || yes
			}
		}
	}
	w.unspared.rows = w.unspared.rows[:0]
	for r, yes := range w.marked {
		if yes {
			w.unspared.rows = append(w.unspared.rows, r)
		}
	}
	b := &w.scenarios[s]
	return batch.Gather(w.unspared.x, b.x, w.unspared.rows), batch.Rows(b.part, 0, len(w.unspared.rows))
}
