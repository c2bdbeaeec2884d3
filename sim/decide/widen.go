package decide

import (
	"clampodds/dist"
	"clampodds/sim"
)

// Widening is what less spread of one input brings.
type Widening struct {
	// Requirement is the one that sets the end; Upper says which end.
	Requirement string
	Upper       bool
	Input       string
	// Share is how much of the way to an exceedance the input goes.
	Share float64
	// Shift is how far the end moves outward when the spread of the input is
	// halved about its mean: an estimate by the tail methods, on common draws.
	Shift float64
}

// candidates is how many inputs are tried for each end.
const candidates = 3

// widen halves the spread of the inputs that matter most at each end.
func (s *search) widen(w *Window) ([]Widening, error) {
	var list []Widening
	for d, b := range []Bound{w.Lower, w.Upper} {
		if b.Requirement == "" || b.Slope == 0 || len(w.Never) > 0 {
			continue
		}
		found, err := s.widenEnd(side(d), b)
		if err != nil {
			return nil, err
		}
		list = append(list, found...)
	}
	return list, nil
}

// widenEnd tries the inputs at one end.
func (s *search) widenEnd(d side, b Bound) ([]Widening, error) {
	base, err := s.tailAt(b.Setting, b.Requirement, "")
	if err != nil || base.Value == 0 {
		return nil, err
	}
	list := make([]Widening, min(candidates, len(base.shares)))
	err = s.concurrently(s.ctx, len(list), func(i int) error {
		input := base.shares[i]
		end, err := s.moved(b, input.Input, score(base.Value))
		if d == lower {
			end = -end
		}
		list[i] = Widening{Requirement: b.Requirement, Upper: d == upper, Input: input.Input, Share: input.Value, Shift: end}
		return err
	})
	return list, err
}

// moved returns how far up the setting goes at which the score is as wanted when
// the spread of the input is halved: by the secant through the end as it was and
// where its slope leads to. NaN where nothing is seen any more.
func (s *search) moved(b Bound, input string, wanted float64) (float64, error) {
	first, err := s.tailAt(b.Setting, b.Requirement, input)
	if err != nil {
		return 0, err
	}
	step := (wanted - score(first.Value)) / b.Slope
	if step == 0 || first.Value == 0 {
		return 0, nil
	}
	second, err := s.tailAt(s.within(lower, b.Setting+step), b.Requirement, input)
	if err != nil || second.Value == 0 {
		return step, err
	}
	slope := (score(second.Value) - score(first.Value)) / step
	return (wanted - score(first.Value)) / slope, nil
}

// tailAt estimates a requirement at a setting, with half the spread of an input
// if one is named.
func (s *search) tailAt(setting float64, name, input string) (tailEstimate, error) {
	scenario, err := s.At(setting)
	if err != nil {
		return tailEstimate{}, err
	}
	scenario.Plan, err = scenario.Plan.WithDistributions(func(v sim.Variable) (dist.Distribution, error) {
		if v.Input != input {
			return v.Dist, nil
		}
		return dist.WithSpread(v.Dist, 0.5)
	})
	if err != nil {
		return tailEstimate{}, err
	}
	q, err := requirement(scenario.Requirements, name)
	if err != nil {
		return tailEstimate{}, err
	}
	return s.tail(scenario, q, s.Run.Confidence)
}
