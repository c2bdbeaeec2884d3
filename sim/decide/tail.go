package decide

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"clampodds/sim"
	"clampodds/sim/rare"
	"clampodds/sim/tail"
)

// The warnings of the tail methods.
const (
	// NotEstablished: what the tail method found is not established. The interval is
	// then everything possible.
	NotEstablished sim.WarningCode = "not-established"
	// StricterLimit: the bound is that of exceeding a stricter limit.
	StricterLimit sim.WarningCode = "stricter-limit"
)

// relativeError is what the tail methods aim at, at DefaultAccuracy: a tenth of the probability is
// about 0.03 standard deviations along a setting.
const relativeError = 0.1

// Share is how much of the way to an exceedance an input goes.
type Share struct {
	Input string
	// Value is the sum of the importance factors of the input's variables over
	// the design points, weighted by their probability; all inputs sum to 1.
	Value float64
}

// tailEstimate is a probability by the tail methods.
type tailEstimate struct {
	sim.Estimate
	shares []Share // largest first; nil without a design point
}

// tail estimates the probability of exceeding q, intervals of the level.
func (s *Setup) tail(scenario sim.Scenario, q sim.Requirement, level float64) (tailEstimate, error) {
	state, err := s.state(scenario, q)
	if err != nil {
		return tailEstimate{}, err
	}
	r, err := rare.Estimate(state.Problem(), s.options(q.Name, level))
	if err != nil {
		return tailEstimate{}, err
	}
	return tailEstimate{fromRare(r, r.Probability), shares(state, r.DesignPoints)}, nil
}

// state is the limit state of a requirement with the events that go with it.
func (s *Setup) state(scenario sim.Scenario, q sim.Requirement) (*tail.State, error) {
	events := []sim.Requirement{q}
	if s.Events != nil {
		events = s.Events(q)
	}
	state, err := tail.NewState(scenario, events...)
	if err != nil {
		return nil, fmt.Errorf("%s: requirement %q: %w", scenario.Name, q.Name, err)
	}
	return state, nil
}

// options are those of one estimate. All estimates of a requirement take the same
// random numbers, so that those along a setting, or of two like designs, vary
// together; those of different requirements are independent.
func (s *Setup) options(name string, level float64) rare.Options {
	return rare.Options{
		Stream: tail.Stream(s.Run.Seed, name), Evaluations: int(s.atAccuracy(int64(s.Evaluations))), RelativeError: relativeError * s.finer(), Level: level,
	}
}

// fromRare converts p, the probability or that of an event of r.
func fromRare(r rare.Result, p rare.Probability) sim.Estimate {
	e := sim.Estimate{
		Value: p.Value, Interval: p.Interval, Level: p.Level, Achieved: p.Level,
		N: int64(r.Evaluations), Method: string(p.Method),
	}
	if p.StandardError > 0 {
		e.EffectiveN = p.Value * (1 - p.Value) / (p.StandardError * p.StandardError)
	}
	if !r.Established() {
		e.Low, e.High = 0, 1
		e.Warnings = append(e.Warnings, sim.Warning{Code: NotEstablished, Text: "the probability is not established: " + r.Reason})
	}
	if p.Value == 0 {
		e.Warnings = append(e.Warnings, sim.Warning{Code: sim.NeverSeen, Text: "never seen: the interval is an upper bound"})
	}
	return e
}

// shares sums the importance factors by input.
func shares(state *tail.State, points []rare.DesignPoint) []Share {
	var list []Share
	total := 0.0
	for _, p := range points {
		weight := p.Approximation()
		total += weight
		for i, factor := range p.Importance() {
			list = addShare(list, state.Inputs().Variables()[i].Input, weight*factor)
		}
	}
	for i := range list {
		list[i].Value /= total
	}
	sortShares(list)
	return list
}

func sortShares(list []Share) {
	slices.SortStableFunc(list, func(a, b Share) int {
		return cmp.Or(cmp.Compare(b.Value, a.Value), strings.Compare(a.Input, b.Input))
	})
}

func addShare(list []Share, input string, value float64) []Share {
	at := slices.IndexFunc(list, func(s Share) bool { return s.Input == input })
	if at < 0 {
		return append(list, Share{input, value})
	}
	list[at].Value += value
	return list
}
