// Package tail shows a scenario of package sim to package rare: the probability
// that a row exceeds a requirement, as a problem in the space of independent
// standard normal variables.
//
// A row here is one card. Draws that the cards of a chassis share count as the
// card's own: the probability for one card does not depend on who else has the
// same draw.
//
// The coordinates are the normal scores of the variables before
// correlation: x = F^-1(Φ(L u)), L the Cholesky factor of the Gaussian copula. Only
// variables of one correlated set mix.
package tail

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/rare"
)

// State is the limit state of a scenario: the union of the events that single
// rows exceed one of some requirements. Once made it is only read and safe for
// concurrent use, as are its problems.
type State struct {
	// Workers is the number of goroutines that evaluate the model, to be set
	// before anything else is done; 0 for one per processor. Results do not depend
	// on it.
	Workers int

	scenario sim.Scenario
	inputs   *sim.Inputs // of groups of one row
	events   []sim.Requirement
	output   []int // by event
}

// NewState returns the state of events, at least one, on outputs of the
// scenario's model; the scenario's own requirements play no part, nor do targets.
//
// Where the model gives no value (+Inf) the row exceeds the limit, but without a
// slope to follow. So give an event of its own to whatever takes the value away,
// on an output that is continuous there, such as a clearance with Below and
// Limit 0: a row without a value then counts for those of the other events that
// happen in it, and for the event itself only where none does.
//
// sim.ErrNoRandomInput is returned as such; other errors name the event and what it
// lacks.
func NewState(scenario sim.Scenario, events ...sim.Requirement) (*State, error) {
	if len(events) == 0 {
		return nil, errors.New("no event to look for")
	}
	if len(scenario.Inputs.Variables()) == 0 {
		return nil, sim.ErrNoRandomInput
	}
	var outputs []string
	for _, e := range events {
		outputs = append(outputs, e.Output)
	}
	scenario = scenario.Only(outputs...)
	s := &State{scenario: scenario, inputs: scenario.Inputs.Single(), events: slices.Clone(events)}
	for _, e := range events {
		index := slices.IndexFunc(scenario.Model.Outputs(), func(o sim.Output) bool { return o.Name == e.Output })
		if index < 0 {
			return nil, fmt.Errorf("event %q: no output %q", e.Name, e.Output)
		}
		if !(math.Abs(e.Limit) <= math.MaxFloat64) {
			return nil, fmt.Errorf("event %q: limit %v, must be finite", e.Name, e.Limit)
		}
		s.output = append(s.output, index)
	}
	return s, nil
}

// Events returns the events in the order given; the caller must not change them.
func (s *State) Events() []sim.Requirement { return s.events }

// Inputs returns the inputs of single rows.
func (s *State) Inputs() *sim.Inputs { return s.inputs }

// Problem returns the problem for rare.Estimate: Dim variables, the
// events as limit states g = limit - y in the unit of the output (y - limit for
// a least value). Estimate panics when the model gives NaN.
func (s *State) Problem() rare.Problem {
	return rare.Problem{Dim: len(s.inputs.Variables()), Events: len(s.events), Evaluate: s.evaluate}
}

// Values returns the inputs at a point of the normal space, in the order of the
// variables.
func (s *State) Values(u []float64) []float64 {
	x := batch.Columns(len(u), 1)
	s.inputs.FromNormal(transpose([][]float64{u}), x)
	return transpose(x)[0]
}

// model returns the output columns at rows u.
func (s *State) model(u [][]float64) [][]float64 {
	y := batch.Columns(len(s.scenario.Model.Outputs()), len(u))
	sim.Evaluate(s.inputs, s.scenario.Model, (*sim.Inputs).FromNormal, transpose(u), y, s.Workers)
	return y
}

func transpose(rows [][]float64) [][]float64 {
	t := batch.Columns(len(rows[0]), len(rows))
	for r, row := range rows {
		for c, value := range row {
			t[c][r] = value
		}
	}
	return t
}

// evaluate implements rare.Problem.
func (s *State) evaluate(u, g [][]float64) {
	y := s.model(u)
	for e, q := range s.events {
		for r, value := range y[s.output[e]] {
			g[e][r] = limitState(q, value)
		}
	}
	for r := range u {
		withoutValue(g, r)
	}
}

// limitState is negative where the finite value y exceeds q.
func limitState(q sim.Requirement, y float64) float64 {
	g := q.Limit - y
	if q.Below && !math.IsInf(y, 1) {
		g = y - q.Limit
	}
	if g == 0 { // at the limit it is not exceeded
		return math.SmallestNonzeroFloat64
	}
	return g
}

// withoutValue lets events whose output has no value in row r give way to the
// others, if one of them happens.
func withoutValue(g [][]float64, r int) {
	explained := slices.ContainsFunc(g, func(column []float64) bool { return column[r] <= 0 && !math.IsInf(column[r], -1) })
	for e := range g {
		if explained && math.IsInf(g[e][r], -1) {
			g[e][r] = math.Inf(1)
		}
	}
}

// Stream returns the random numbers of a seed for rare.Estimate. The name is that
// of the limit: the errors of different limits of one study are then independent.
func Stream(seed uint64, name string) rare.Stream {
	return func(purpose string, index uint64) *rand.Rand {
		s := sim.NewStream(seed, purpose, index, name)
		return rand.New(&s)
	}
}
