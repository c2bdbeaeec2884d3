package study

import (
	"slices"
	"strings"

	"clampodds/joint/card"
	"clampodds/sim"
)

// draws names the variables of an input: none for a constant, one when the draw
// is shared, otherwise one for each edge or face.
func (in *Input) draws(b *card.Binding) []string {
	if in.Dist == nil {
		return nil
	}
	instances := in.instances(b)
	if instances == nil {
		return []string{in.Key} // no input of the model: what readings leave open
	}
	var names []string
	for _, at := range instances {
		if name := in.drawAt(at); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// drawAt names the variable that an instance takes its value from.
func (in *Input) drawAt(at card.Instance) string {
	return in.drawn() + in.place(at)
}

// drawn is the first part of the names of its variables: an edge draws the same
// whether it is given apart or not.
func (in *Input) drawn() string {
	if in.Level >= sim.Edge {
		return in.Parameter.Key
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
// input; where edges or faces draw apart, an instance is added: "screw.torque/left".
func (s *Study) Variables() ([]sim.Variable, []sim.Correlation) {
	b := s.binding()
	var variables []sim.Variable
	for _, in := range s.Inputs {
		for _, name := range in.draws(b) {
			variables = append(variables, sim.Variable{
				Name: name, Input: in.Key, Level: in.Level, Dist: in.Dist, Knowledge: in.Knowledge && !in.Assumed,
			})
		}
	}
	return variables, s.pairs(b)
}

// Plan returns the random inputs with their correlations, repaired if the study
// says so, for groups of the cards that share a chassis.
func (s *Study) Plan() (*sim.Plan, error) {
	plan, _, err := s.plan()
	return plan, err
}

// plan also returns how far a repair moves a rank correlation.
func (s *Study) plan() (plan *sim.Plan, moved float64, err error) {
	variables, correlations := s.Variables()
	if s.RepairCorrelations {
		if correlations, moved, err = sim.RepairCorrelations(correlations); err != nil {
			return nil, 0, err
		}
	}
	plan, err = sim.NewPlan(variables, correlations, s.Run.CardsPerChassis)
	return plan, moved, err
}

// binding is a fresh binding of the layout, which was checked when it was read.
func (s *Study) binding() *card.Binding {
	b, err := card.NewBinding(&s.Layout)
	if err != nil {
		panic("study: " + err.Error())
	}
	return b
}
