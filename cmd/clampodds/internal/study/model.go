package study

import (
	"slices"
	"strings"
	"sync"

	"clampodds/dist"
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

// seat is a card with the binding of its inputs: the one of a card's study, or that of a slot.
type seat struct {
	slot string // its name; empty for a card's study
	*card.Binding
}

// seats are fresh bindings of the layouts, which were checked when they were read.
func (s *Study) seats() (list []seat) {
	if s.Chassis == nil {
		return []seat{{Binding: bindingOf(&s.Layout)}}
	}
	for i := range s.Chassis.Slots {
		slot := &s.Chassis.Slots[i]
		list = append(list, seat{slot.Name, bindingOf(&slot.Layout)})
	}
	return list
}

func bindingOf(l *card.Layout) *card.Binding { return dist.Must(card.NewBinding(l)) }

// draws names the variables of an input: none for a constant, one when the draw
// is shared, otherwise one for each slot, edge or face.
func (in *Input) draws(seats []seat) []string {
	if in.Dist == nil {
		return nil
	}
	var names []string
	for i, at := range seats {
		if !in.in(i) {
			continue
		}
		for _, instance := range in.instances(at.Binding) {
			if name := in.drawAt(at.slot, instance); !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	if names == nil {
		return []string{in.Key} // no input of a card: of the chassis, or what readings leave open
	}
	return names
}

// drawAt names the variable that an instance in a slot takes its value from.
func (in *Input) drawAt(slot string, at card.Instance) string {
	if in.perSlot() {
		slot = "/" + slot
	} else {
		slot = ""
	}
	return in.drawn() + slot + in.place(at)
}

// drawn is the first part of the names of its variables: an edge draws the same
// whether it is given apart or not, a slot whether others have the same input or not, and
// most slots whether some others have another input or not.
func (in *Input) drawn() string {
	switch {
	case in.Level >= sim.Edge:
		return in.Parameter.Key
	case in.perSlot(), in.most:
		return in.own
	}
	return in.Key
}

// place is the second part, which says where on the card a draw belongs.
func (in *Input) place(at card.Instance) string {
	switch in.Level {
	case sim.Face:
		return "/" + at.Name
	case sim.Edge:
		edge, _, _ := strings.Cut(at.Name, "/")
		return "/" + edge
	}
	return ""
}

// Variables returns the random columns of the model's input, in the order Model
// binds them, and the correlations between them. A variable is named for its
// input; where edges or faces draw apart, an instance is added: "screw.torque/left"; where the
// slots of a chassis do, their names before it: "screw.torque/power.2/left".
func (s *Study) Variables() ([]sim.Variable, []sim.Correlation) {
	seats := s.seats()
	var variables []sim.Variable
	for _, in := range s.Inputs {
		for _, name := range in.draws(seats) {
			variables = append(variables, sim.Variable{
				Name: name, Input: in.Key, Level: in.Level, Dist: in.Dist, Knowledge: in.Knowledge && !in.Assumed,
			})
		}
	}
	return variables, s.pairs(seats)
}

// RandomInputs returns the random inputs with their correlations, repaired if the study
// says so, for groups of the cards that share a chassis, or for whole chassis.
func (s *Study) RandomInputs() (*sim.Inputs, error) {
	inputs, _, err := s.randomInputs()
	return inputs, err
}

// randomInputs also returns how far a repair moves a rank correlation.
func (s *Study) randomInputs() (inputs *sim.Inputs, moved float64, err error) {
	variables, correlations := s.Variables()
	if s.RepairCorrelations {
		if correlations, moved, err = sim.RepairCorrelations(correlations); err != nil {
			return nil, 0, err
		}
	}
	cards := s.Run.CardsPerChassis
	if s.Chassis != nil {
		cards = 1 // a row is a chassis
	}
	inputs, err = sim.NewInputs(variables, correlations, cards)
	return inputs, moved, err
}
