package sim

import "slices"

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
