package study

import (
	"slices"
	"sync"

	"clampodds/dist/fit"
	"clampodds/joint/card"
	"clampodds/sim"
)

// Model is the model of a study's card, or of a chassis of cards. Its columns are the study's
// variables.
type Model struct {
	*card.Model // nil for a chassis
	chassis     *chassisModel
	open        []openColumn
	lots        []lotColumn
	scratch     sync.Pool // of *openScratch
}

// Model returns the model of the study's cards. Its columns are the variables of
// Variables, in that order.
func (s *Study) Model() (*Model, error) {
	columns := map[string]int{}
	variables, _ := s.Variables()
	for i, v := range variables {
		columns[v.Name] = i
	}
	m := &Model{open: s.openColumns(variables), lots: s.lotColumns(variables)}
	m.scratch.New = func() any { return new(openScratch) }
	var err error
	if s.Chassis != nil {
		m.chassis, err = s.newChassisModel(columns)
		return m, err
	}
	one := s.seats()[0]
	err = s.bind(columns, 0, one, func(_ *Input, _ card.Instance, source card.Source) card.Source { return source })
	if err == nil {
		m.Model, err = card.New(one.Binding)
	}
	return m, err
}

// bind gives the instances of a card's inputs their sources, as through changes them.
func (s *Study) bind(columns map[string]int, number int, to seat, through func(*Input, card.Instance, card.Source) card.Source) error {
	for i := range s.Inputs {
		in := &s.Inputs[i]
		if !in.in(number) {
			continue
		}
		for _, at := range in.instances(to.Binding) {
			source := through(in, at, in.source(columns, to.slot, at))
			if err := to.Set(in.Parameter.Key, at.Edge, at.Face, source); err != nil {
				return err
			}
		}
	}
	return nil
}

// source is where an instance in a slot takes its value from.
func (in *Input) source(columns map[string]int, slot string, at card.Instance) card.Source {
	if in.Dist == nil {
		return card.Constant(in.Nominal)
	}
	return card.FromColumn(columns[in.drawAt(slot, at)])
}

// Outputs are those of card.Model, or of a chassis.
func (m *Model) Outputs() []card.Output {
	if m.chassis != nil {
		return m.chassis.outputs
	}
	return m.Model.Outputs()
}

// Only is the model of one slot of a chassis, with the columns of variables that it reads, or of what needs no
// temperature of a card, which gets all columns (nil). It is nil where the outputs are not all of one slot, or one
// needs temperatures.
func (m *Model) Only(outputs ...string) (*Model, []int) {
	if m.chassis == nil {
		mechanical := m.Mechanical(outputs...)
		if mechanical == nil {
			return nil, nil
		}
		one := &Model{Model: mechanical, open: m.open, lots: m.lots}
		one.scratch.New = m.scratch.New
		return one, nil
	}
	slot, reads := m.chassis.ofSlot(outputs)
	if slot == nil {
		return nil, nil
	}
	one := &Model{chassis: slot}
	one.scratch.New = m.scratch.New
	for _, l := range m.lots {
		if slices.Contains(reads, l.column) {
			one.lots, reads = append(one.lots, l), append(reads, l.level)
		}
	}
	for _, o := range m.open {
		if slices.Contains(reads, o.column) {
			one.open, reads = append(one.open, o), append(reads, o.mean, o.spread)
		}
	}
	return one, reads
}

func (m *Model) evaluate(x, y [][]float64) {
	if m.chassis != nil {
		m.chassis.Evaluate(x, y)
		return
	}
	m.Model.Evaluate(x, y)
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
		if open != nil && open.OnlySpread() {
			mean = spread // which is not looked at
		}
		if open != nil && mean >= 0 && spread >= 0 {
			list = append(list, openColumn{open.Open, i, mean, spread})
		}
	}
	return list
}

// lotColumn is a column whose values depend on the level of the lot, with the column of that.
type lotColumn struct {
	*lotPart
	column, level int
}

// lotColumns finds them among the variables.
func (s *Study) lotColumns(variables []sim.Variable) (list []lotColumn) {
	for i, v := range variables {
		level := slices.IndexFunc(variables, func(other sim.Variable) bool { return other.Name == v.Input+levelOfLot })
		if lot := s.Input(v.Input).lot; lot != nil && level >= 0 {
			list = append(list, lotColumn{lot, i, level})
		}
	}
	return list
}

// asDrawn reports that the columns are the values that cards have.
func (m *Model) asDrawn() bool { return len(m.open)+len(m.lots) == 0 }

// Evaluate is that of card.Model on the values as they are under what is left open and in their lots.
func (m *Model) Evaluate(x, y [][]float64) {
	if m.asDrawn() {
		m.evaluate(x, y)
		return
	}
	s := m.scratch.Get().(*openScratch)
	defer m.scratch.Put(s)
	m.evaluate(m.given(x, s), y)
}

// Values are the values of the columns x as the cards have them: those that depend
// on what is left open under it, and in their lots. x is not changed.
func (m *Model) Values(x [][]float64) [][]float64 {
	if m.asDrawn() {
		return x
	}
	return m.given(x, new(openScratch))
}

// openScratch holds columns from one block to the next.
type openScratch struct {
	columns [][]float64
	own     [][]float64
}

// given replaces the columns that depend on what is left open, the levels of lots among them, and then those
// that depend on the level of their lot.
func (m *Model) given(x [][]float64, s *openScratch) [][]float64 {
	s.columns = append(s.columns[:0], x...)
	for i, o := range m.open {
		own := s.column(i, len(x[o.column]))
		for r, value := range x[o.column] {
			own[r] = o.Given(value, x[o.mean][r], x[o.spread][r])
		}
		s.columns[o.column] = own
	}
	for i, l := range m.lots {
		own, level := s.column(len(m.open)+i, len(x[l.column])), s.columns[l.level]
		for r, value := range s.columns[l.column] {
			own[r] = l.given(value, level[r])
		}
		s.columns[l.column] = own
	}
	return s.columns
}

// column is the i-th of the scratch's own, of a length.
func (s *openScratch) column(i, length int) []float64 {
	if i == len(s.own) {
		s.own = append(s.own, nil)
	}
	s.own[i] = slices.Grow(s.own[i][:0], length)[:length]
	return s.own[i]
}
