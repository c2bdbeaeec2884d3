package study

import (
	"slices"
	"sync"

	"clampodds/dist/fit"
	"clampodds/joint/card"
	"clampodds/sim"
)

// Model is the model of a study's cards. Its columns are the study's variables.
type Model struct {
	*card.Model
	open    []openColumn
	scratch sync.Pool // of *openScratch
}

// Model returns the model of the study's cards. Its columns are the variables of
// Variables, in that order.
func (s *Study) Model() (*Model, error) {
	b := s.binding()
	columns := map[string]int{}
	variables, _ := s.Variables()
	for i, v := range variables {
		columns[v.Name] = i
	}
	for i := range s.Inputs {
		in := &s.Inputs[i]
		for _, at := range in.instances(b) {
			source := card.Constant(in.Nominal)
			if in.Dist != nil {
				source = card.FromColumn(columns[in.drawAt(at)])
			}
			if err := b.Set(in.Parameter.Key, at.Edge, at.Face, source); err != nil {
				return nil, err
			}
		}
	}
	model, err := card.New(b)
	if err != nil {
		return nil, err
	}
	m := &Model{Model: model, open: s.openColumns(variables)}
	m.scratch.New = func() any { return new(openScratch) }
	return m, nil
}

// openColumn is a column whose values depend on what is left open, with the columns
// of that.
type openColumn struct {
	fit.Open
	column, mean, spread int
}

// openColumns finds them among the variables.
func (s *Study) openColumns(variables []sim.Variable) (list []openColumn) {
	column := func(name string) int {
		return slices.IndexFunc(variables, func(v sim.Variable) bool { return v.Name == name })
	}
	for i, v := range variables {
		open := s.Input(v.Input).open
		mean, spread := column(v.Input+openMean), column(v.Input+openSpread)
		if open != nil && mean >= 0 && spread >= 0 {
			list = append(list, openColumn{open.Open, i, mean, spread})
		}
	}
	return list
}

// Evaluate is that of card.Model on the values as they are under what is left open.
func (m *Model) Evaluate(x, y [][]float64) {
	if len(m.open) == 0 {
		m.Model.Evaluate(x, y)
		return
	}
	s := m.scratch.Get().(*openScratch)
	defer m.scratch.Put(s)
	m.Model.Evaluate(m.given(x, s), y)
}

// Values are the values of the columns x as the cards have them: those that depend
// on what is left open under it. x is not changed.
func (m *Model) Values(x [][]float64) [][]float64 {
	if len(m.open) == 0 {
		return x
	}
	return m.given(x, new(openScratch))
}

// openScratch holds columns from one block to the next.
type openScratch struct {
	columns [][]float64
	own     [][]float64
}

// given replaces the columns that depend on what is left open.
func (m *Model) given(x [][]float64, s *openScratch) [][]float64 {
	s.columns = append(s.columns[:0], x...)
	for i, o := range m.open {
		if i == len(s.own) {
			s.own = append(s.own, nil)
		}
		s.own[i] = slices.Grow(s.own[i][:0], len(x[o.column]))[:len(x[o.column])]
		for r, value := range x[o.column] {
			s.own[i][r] = o.Given(value, x[o.mean][r], x[o.spread][r])
		}
		s.columns[o.column] = s.own[i]
	}
	return s.columns
}
