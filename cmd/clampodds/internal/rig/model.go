package rig

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/joint/card"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/calibrate"
)

// model is a study's card under the conditions of a table. It is safe for
// concurrent use.
type model struct {
	study      *study.Study
	table      *Table
	scale      Scale
	inputs     *sim.Inputs // of single cards
	card       *study.Model
	parameters []int // columns of the updated inputs
	free       []int // columns of all others
	outputs    []int // of the quantities read
}

func newModel(s *study.Study, t *Table, update []string) (*model, error) {
	m := &model{study: s, table: t, scale: t.scale()}
	inputs, err := s.RandomInputs()
	if err != nil {
		return nil, err
	}
	m.inputs = inputs.Single()
	if m.card, err = s.Model(); err != nil {
		return nil, err
	}
	m.parameters = make([]int, len(update))
	for i, v := range m.inputs.Variables() {
		if at := slices.Index(update, v.Input); at >= 0 {
			m.parameters[at] = i // a shared draw is one column
		} else {
			m.free = append(m.free, i)
		}
	}
	for _, q := range t.Read {
		m.outputs = append(m.outputs, slices.IndexFunc(m.card.Outputs(), func(o card.Output) bool { return o.Name == q.Name }))
	}
	return m, nil
}

// prepare turns the draws of the variables into values once; the response puts
// the parameters and each row's conditions in their places.
func (m *model) prepare(scores [][]float64) calibrate.Response {
	draws := 1
	if len(scores) > 0 {
		draws = len(scores[0])
	}
	z := batch.Columns(len(m.inputs.Variables()), draws)
	for j, i := range m.free {
		copy(z[i], scores[j])
	}
	drawn := batch.Columns(len(z), draws)
	m.inputs.FromNormal(z, drawn)
	return func(parameters []float64, y [][]float64) {
		x := slices.Clone(drawn)
		for i, column := range m.parameters {
			x[column] = slices.Repeat([]float64{parameters[i]}, draws)
		}
		out := batch.Columns(len(m.card.Outputs()), draws)
		for row := range m.table.Lines {
			m.set(x, drawn, row)
			m.card.Evaluate(x, out)
			for i, output := range m.outputs {
				to := y[row*len(m.outputs)+i]
				for k, value := range out[output] {
					to[k] = m.scale.to(row, value)
				}
			}
		}
	}
}

// set puts the conditions of a row into the columns x; drawn are the study's own.
func (m *model) set(x, drawn [][]float64, row int) {
	for i := range m.table.Set {
		q := &m.table.Set[i]
		value := q.Values[row]
		inputs := q.inputs(m.study)
		for column, v := range m.inputs.Variables() {
			if !slices.Contains(inputs, v.Input) {
				continue
			}
			switch q.Key {
			case "torque":
				x[column] = m.tightened(drawn[column], m.study.Input(v.Input).Nominal, value)
			case "power":
				share := m.study.Input(v.Input).Nominal / totalPower(m.study)
				x[column] = slices.Repeat([]float64{share * value}, len(drawn[column]))
			default:
				x[column] = slices.Repeat([]float64{value}, len(drawn[column]))
			}
		}
	}
}

// tightened are the torques that the study's tool reaches when it is set to another
// value than nominal: its scatter keeps its share or its size.
func (m *model) tightened(drawn []float64, nominal, set float64) []float64 {
	list := make([]float64, len(drawn))
	for k, x := range drawn {
		if m.study.Tool.Scatter == study.Absolute {
			list[k] = x + set - nominal
		} else {
			list[k] = x * set / nominal
		}
	}
	return list
}

// prepared returns the study with a variable for everything that the table sets,
// so that the model takes it row by row.
func (t *Table) prepared(s *study.Study) (*study.Study, error) {
	for _, q := range t.Set {
		for _, key := range q.inputs(s) {
			in := *s.Input(key)
			if in.Dist != nil {
				continue
			}
			constant, err := dist.NewFixed(in.Nominal)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", key, err)
			}
			in.Dist, in.Level = constant, sim.Design
			s = s.WithInput(in)
		}
	}
	return s, nil
}

// inputs are the study's inputs that a condition sets.
func (q *Quantity) inputs(s *study.Study) []string {
	var list []string
	for _, in := range s.Edges(q.Name) {
		list = append(list, in.Key)
	}
	if q.Key != "power" {
		return list
	}
	for _, name := range s.Layout.Components {
		list = append(list, "component."+name+".power")
	}
	return list
}

// check refuses conditions that do not fit the study.
func (t *Table) check(s *study.Study) error {
	var wrong []string
	for i := range t.Set {
		wrong = append(wrong, t.outside(&t.Set[i], s)...)
	}
	if of(t.Set, "altitude") != nil && s.Input("gas.pressure").Nominal != 0 {
		wrong = append(wrong, "the study gives gas.pressure, and the column altitude would not be used: leave it out with --column altitude= (the pressure stays that of the study, no column has it), or give the study gas.altitude in place of the pressure")
	}
	if of(t.Set, "power") != nil && !(totalPower(s) > 0) {
		wrong = append(wrong, "the study has no power whose shares could be kept")
	}
	if of(t.Set, "torque") != nil && s.Tool.Scatter == study.Fraction && !(min(s.At(torqueInput, 0).Nominal, s.At(torqueInput, 1).Nominal) > 0) {
		wrong = append(wrong, "the study's torque is 0: the scatter of the tool is no fraction of it")
	}
	if len(wrong) > 0 {
		return fmt.Errorf("%s: %s", t.Name, strings.Join(wrong, "\n"+t.Name+": "))
	}
	return nil
}

// outside lists the rows whose condition the model does not take.
func (t *Table) outside(q *Quantity, s *study.Study) (wrong []string) {
	p := s.At(q.Name, 0).Parameter
	for row, x := range q.Values {
		if !(x >= p.Low && x <= p.High) {
			format := func(x float64) string { return units.Format(x, q.Quantity, q.Unit) }
			wrong = append(wrong, fmt.Sprintf("line %d (%s): %s, allowed is %s to %s", t.Lines[row], q.Key, format(x), format(p.Low), format(p.High)))
		}
	}
	return wrong
}

// totalPower is the nominal heat of the card.
func totalPower(s *study.Study) float64 {
	sum := s.Input("card.power").Nominal
	for _, name := range s.Layout.Components {
		sum += s.Input("component." + name + ".power").Nominal
	}
	return sum
}

// setups numbers the tightenings: rows that follow one another with the same card
// and torque are one.
func (t *Table) setups() []int {
	list := make([]int, len(t.Lines))
	torque := of(t.Set, "torque")
	for row := 1; row < len(list); row++ {
		list[row] = list[row-1]
		if t.Card[row] != t.Card[row-1] || torque != nil && torque.Values[row] != torque.Values[row-1] {
			list[row]++
		}
	}
	return list
}

// Scale is the one on which the variation of the readings is nearly normal.
type Scale struct {
	// Logarithmic: observations are the logarithms of the reading above zero, and deviations shares of it.
	Logarithmic bool
	zero        []float64 // by row: the wall's temperature, or 0
}

func (t *Table) scale() Scale {
	s := Scale{zero: make([]float64, len(t.Lines))}
	wall := of(t.Set, "wall")
	switch {
	case t.Read[0].Quantity == "K/W":
		s.Logarithmic = true
	case wall != nil:
		s.Logarithmic, s.zero = true, wall.Values
	}
	return s
}

// to turns a reading of a row into an observation: NaN or -Inf where it has none.
func (s *Scale) to(row int, x float64) float64 {
	if !s.Logarithmic {
		return x
	}
	return math.Log(x - s.zero[row])
}

// From is the inverse: an observation of a row as a reading, in its unit.
func (s *Scale) From(row int, y float64) float64 {
	if !s.Logarithmic {
		return y
	}
	return s.zero[row] + math.Exp(y)
}

// noise turns the noise of a reading x of a row into that of the observation.
func (s *Scale) noise(row int, x, noise float64) float64 {
	if !s.Logarithmic {
		return noise
	}
	return noise / (x - s.zero[row])
}
