package study

import (
	"slices"
	"strings"

	"clampodds/dist"
	"clampodds/joint/card"
	"clampodds/sim"
)

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
