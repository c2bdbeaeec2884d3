package decide

import (
	"context"
	"fmt"
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
)

// Widening is what less spread of one input brings.
type Widening struct {
	Upper bool // which end
	Input string
	// Share is how much of the way to an exceedance the input goes.
	Share float64
	// Shift is how far the end moves outward when the spread of the input is
	// halved about its mean: an estimate on common draws.
	// AtLeast says that it goes further than was looked.
	Shift   float64
	AtLeast bool
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
	at := slices.IndexFunc(s.curves, func(c *course) bool { return c.Requirement.Name == b.Requirement })
	if c := s.curves[at]; !c.byTail() && c.rows[d] == nil {
		return nil, nil // the search gave up before it came to this end
	}
	probability, err := s.halving(s.curves[at], d)
	if err != nil {
		return nil, err
	}
	return s.widenBy(d, b, probability)
}

// slopeStep is how far inside of an end the slope there is looked for, over the setting.
const slopeStep = 0.03

// WidenAt is Widening of an end that was found in another way, such as over what is not known: half the spread of an input moves it to
// where the probability of exceeding the requirement is what it is at the end now. Nothing where that is not seen.
func (a *Adjust) WidenAt(ctx context.Context, requirement string, setting float64, isUpper bool) ([]Widening, error) {
	s, d, inward := &search{Adjust: a, ctx: ctx}, lower, 1.0
	if isUpper {
		d, inward = upper, -1
	}
	scenario, err := a.At(setting)
	if err != nil {
		return nil, err
	}
	at := slices.IndexFunc(scenario.Requirements, func(q sim.Requirement) bool { return q.Name == requirement })
	if at < 0 {
		return nil, fmt.Errorf("requirement %q: there is none", requirement)
	}
	c := &course{Curve: &Curve{Requirement: scenario.Requirements[at]}}
	if !c.byTail() {
		if c.rows[d], err = s.newCourse(ctx, scenario, c.Requirement, courseRows); err != nil {
			return nil, err
		}
	}
	probability, err := s.halving(c, d)
	if err != nil {
		return nil, err
	}
	inside := setting * (1 + inward*slopeStep)
	here, err := probability(setting, "")
	if err != nil {
		return nil, err
	}
	there, err := probability(inside, "")
	if err != nil || !(there.Value > 0 && here.Value > there.Value) {
		return nil, err
	}
	b := Bound{Requirement: requirement, End: End{Setting: setting, Slope: (score(there.Value) - score(here.Value)) / (inside - setting)}}
	return s.widenBy(d, b, probability)
}

// widenBy tries the inputs with the largest shares at an end.
func (s *search) widenBy(d side, b Bound, probability halved) ([]Widening, error) {
	base, err := probability(b.Setting, "")
	if err != nil || base.Value == 0 {
		return nil, err
	}
	list := make([]Widening, min(candidates, len(base.shares)))
	outward := -1.0
	if d == upper {
		outward = 1
	}
	err = s.concurrently(s.ctx, len(list), func(i int) error {
		input := base.shares[i]
		list[i] = Widening{Upper: d == upper, Input: input.Input, Share: input.Value}
		return s.move(&list[i], b, outward, score(base.Value), probability)
	})
	return list, err
}

// halved is a probability at a setting, with half the spread of an input if one is named.
type halved func(setting float64, input string) (tailEstimate, error)

const (
	outwardStep  = 0.15 // of the setting
	mostOutwards = 4
)

// move finds the shift: where the score is as wanted with the spread halved, by
// the secant through the end as it was and where its slope leads to. While
// nothing is seen to exceed, it goes outward.
func (s *search) move(w *Widening, b Bound, outward, wanted float64, probability halved) error {
	at := b.Setting
	first, err := probability(at, w.Input)
	for k := 0; err == nil && first.Value == 0 && k < mostOutwards; k++ {
		at = s.within(lower, at+outward*outwardStep*math.Abs(b.Setting))
		first, err = probability(at, w.Input)
	}
	if err != nil {
		return err
	}
	w.Shift = outward * (at - b.Setting)
	if first.Value == 0 {
		w.AtLeast = true
		return nil
	}
	slope := b.Slope
	to := s.within(lower, at+(wanted-score(first.Value))/slope)
	if to == at {
		return nil
	}
	second, err := probability(to, w.Input)
	if second.Value > 0 {
		slope = (score(second.Value) - score(first.Value)) / (to - at)
	}
	w.Shift += outward * (wanted - score(first.Value)) / slope
	return err
}

// halvedRows are the rows about the limit of each probability.
const halvedRows = 3000

// halving estimates the probabilities of a curve near an end, on the same draws: by rows about the
// limit, those of the curve, or by the tail methods.
func (s *search) halving(c *course, d side) (halved, error) {
	if c.byTail() {
		return func(setting float64, input string) (tailEstimate, error) {
			scenario, err := s.halve(setting, input)
			if err != nil {
				return tailEstimate{}, err
			}
			return s.tail(scenario, c.Requirement, s.Run.Confidence)
		}, nil
	}
	rows := c.rows[d].About(halvedRows)
	var shares []Share
	scenario, err := s.At(s.Now)
	for _, share := range rows.Shares() {
		at := slices.IndexFunc(scenario.Inputs.Variables(), func(v sim.Variable) bool { return v.Name == share.Variable })
		shares = addShare(shares, scenario.Inputs.Variables()[at].Input, share.Of)
	}
	sortShares(shares)
	return func(setting float64, input string) (tailEstimate, error) {
		scenario, err := s.halve(setting, input)
		if err != nil {
			return tailEstimate{}, err
		}
		found, err := rows.At(s.ctx, scenario)
		if err != nil {
			return tailEstimate{}, stopped(s.ctx, err)
		}
		return tailEstimate{found[0], shares}, nil
	}, err
}

// halve is the design at a setting, with half the spread of an input if one is named.
func (s *search) halve(setting float64, input string) (sim.Scenario, error) {
	scenario, err := s.At(setting)
	if err != nil {
		return scenario, err
	}
	scenario.Inputs, err = scenario.Inputs.WithDistributions(func(v sim.Variable) (dist.Distribution, error) {
		if v.Input != input {
			return v.Dist, nil
		}
		return dist.WithSpread(v.Dist, 0.5)
	})
	return scenario, err
}
