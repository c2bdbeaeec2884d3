package loosen

import (
	"math"
	"sync"

	"clampodds/sim"
)

// judged shows of a model only whether each requirement is exceeded, so that a
// run of many scenarios keeps no histograms.
type judged struct {
	model        sim.Model
	requirements []sim.Requirement
	output       []int // by requirement
	outputs      int   // of the model
	scratch      *sync.Pool
}

// judge returns the scenario with its requirements as events.
func judge(s sim.Scenario) sim.Scenario {
	j := judged{model: s.Model, requirements: s.Requirements, scratch: &sync.Pool{}}
	var events []sim.Requirement
	index := map[string]int{}
	for i, o := range s.Model.Outputs() {
		index[o.Name] = i
		j.outputs++
	}
	for _, q := range s.Requirements {
		j.output = append(j.output, index[q.Output])
		events = append(events, sim.Requirement{Name: q.Name, Output: q.Name, Limit: 0.5, Target: q.Target})
	}
	s.Model, s.Requirements = j, events
	return s
}

// Outputs implements sim.Model.
func (j judged) Outputs() []sim.Output {
	var list []sim.Output
	for _, q := range j.requirements {
		list = append(list, sim.Output{Name: q.Name, Unit: "1"})
	}
	return list
}

// Evaluate implements sim.Model.
func (j judged) Evaluate(x, y [][]float64) {
	rows := len(y[0])
	held, _ := j.scratch.Get().(*[][]float64)
	if held == nil || cap((*held)[0]) < rows {
		fresh := make([][]float64, j.outputs)
		for i := range fresh {
			fresh[i] = make([]float64, rows)
		}
		held = &fresh
	}
	all := *held
	for i := range all {
		all[i] = all[i][:rows]
	}
	j.model.Evaluate(x, all)
	for q, requirement := range j.requirements {
		for r, value := range all[j.output[q]] {
			y[q][r] = 0
			switch {
			case requirement.Exceeded(value):
				y[q][r] = 1
			case math.IsNaN(value):
				y[q][r] = value // the run refuses it
			}
		}
	}
	j.scratch.Put(held)
}
