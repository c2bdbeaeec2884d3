package rig

import (
	"slices"

	"clampodds/cmd/clampodds/internal/study"
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
	if m.inputs, err = inputs.Regrouped(1); err != nil {
		return nil, err
	}
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
