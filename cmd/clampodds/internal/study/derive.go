package study

import (
	"fmt"
	"slices"
)

const torqueKey = "screw.torque"

// WithTorque returns the study with another nominal torque, N*m. The tool's
// scatter, cuts included, keeps its share of the torque or its size, as Tool
// says. Variables keep their names, so that both draw the same numbers. The
// error says that the torque is outside the range of the model.
//
// The conditions of the result are those of the study as written.
func (s *Study) WithTorque(nominal float64) (*Study, error) {
	if err := s.OnlyApart(torqueKey); err != nil {
		return nil, fmt.Errorf("study: %w", err)
	}
	in := *s.Input(torqueKey)
	if !(nominal >= in.Parameter.Low && nominal <= in.Parameter.High) {
		return nil, fmt.Errorf("study: torque %s, allowed is %s to %s", in.Format(nominal), in.Format(in.Parameter.Low), in.Format(in.Parameter.High))
	}
	var err error
	switch {
	case in.Dist == nil:
	case s.Tool.Scatter == Absolute:
		err = in.move(1, nominal-in.Nominal)
	default:
		err = in.move(nominal/in.Nominal, 0)
	}
	if err != nil {
		return nil, fmt.Errorf("study: torque: %w", err)
	}
	in.Nominal = nominal
	in.Typed = fmt.Sprintf("%s, moved to %s", in.Typed, in.Format(nominal))
	return s.WithInput(in), nil
}

// WithInput returns the study with one input replaced, which must be one that
// it has.
func (s *Study) WithInput(in Input) *Study {
	derived := *s
	derived.Inputs = slices.Clone(s.Inputs)
	own := derived.Input(in.Key)
	in.slots = own.slots
	*own = in
	return &derived
}
