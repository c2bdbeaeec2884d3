package question

import (
	"fmt"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
)

// physics shows the card model to sim, which knows no physics.
type physics struct{ *study.Model }

func (p physics) Outputs() []sim.Output {
	var outputs []sim.Output
	for _, o := range p.Model.Outputs() {
		outputs = append(outputs, sim.Output(o))
	}
	return outputs
}

// Only implements sim.Partial.
func (p physics) Only(outputs ...string) (sim.Model, []int) {
	one, columns := p.Model.Only(outputs...)
	if one == nil {
		return nil, nil
	}
	return physics{one}, columns
}

// asDrawn are the values of the input columns as the cards have them.
func asDrawn(m sim.Model, x [][]float64) [][]float64 {
	if p, ok := m.(physics); ok {
		return p.Values(x)
	}
	return x
}

// Scenario wires a study: its random inputs, its model and its limits.
func Scenario(s *study.Study, name string) (sim.Scenario, error) {
	inputs, err := s.RandomInputs()
	if err != nil {
		return sim.Scenario{}, err
	}
	if len(inputs.Variables()) == 0 {
		return sim.Scenario{}, fmt.Errorf("%s: %w", s.Name, sim.ErrNoRandomInput)
	}
	model, err := s.Model()
	if err != nil {
		return sim.Scenario{}, err
	}
	return sim.Scenario{Name: name, Inputs: inputs, Model: physics{model}, Requirements: requirements(s)}, nil
}

// requirements are the limits of a study that its model judges.
func requirements(s *study.Study) []sim.Requirement {
	var list []sim.Requirement
	for _, l := range s.Limits {
		list = append(list, sim.Requirement{Name: l.Name, Output: l.Output, Limit: l.Max, Target: l.Target})
	}
	return list
}
