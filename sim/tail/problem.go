package tail

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"clampodds/sim"
	"clampodds/sim/rare"
)

// ErrNoRandomInput says that a scenario has nothing random: nothing is rare then,
// one evaluation tells all.
var ErrNoRandomInput = errors.New("no input of the study is random: one evaluation at the nominal values tells all")

// State is the limit state of a scenario: the union of the events that single
// rows exceed one of some requirements. It is immutable and safe for concurrent
// use; a Problem made from it is not.
type State struct {
	scenario sim.Scenario
	plan     *sim.Plan // of groups of one row
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
// ErrNoRandomInput is returned as such; other errors name the event and what it
// lacks.
func NewState(scenario sim.Scenario, events ...sim.Requirement) (*State, error) {
	if len(events) == 0 {
		return nil, errors.New("no event to look for")
	}
	if len(scenario.Plan.Variables()) == 0 {
		return nil, ErrNoRandomInput
	}
	plan, err := scenario.Plan.Regrouped(1)
	if err != nil {
		return nil, err
	}
	s := &State{scenario: scenario, plan: plan, events: slices.Clone(events)}
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

// Plan returns the plan of single rows.
func (s *State) Plan() *sim.Plan { return s.plan }

// Problem returns the problem for rare.Estimate: Dim variables of the plan, the
// events as limit states g = limit - y in the unit of the output (y - limit for
// a least value). It panics when the model gives NaN. Problems of one state share
// nothing that changes.
func (s *State) Problem() rare.Problem {
	w := work{State: s}
	return rare.Problem{Dim: len(s.plan.Variables()), Events: len(s.events), Evaluate: w.evaluate}
}

// Values returns the inputs at a point of the normal space, in the order of the
// plan's variables.
func (s *State) Values(u []float64) []float64 {
	w := work{State: s}
	w.transform([][]float64{u})
	values := make([]float64, len(w.x))
	for i, column := range w.x {
		values[i] = column[0]
	}
	return values
}

// Outputs returns the outputs at a point of the normal space, in the order of
// the model's.
func (s *State) Outputs(u []float64) []float64 {
	w := work{State: s}
	w.model([][]float64{u})
	values := make([]float64, len(w.y))
	for j, column := range w.y {
		values[j] = column[0]
	}
	return values
}

// work holds the columns of one batch.
type work struct {
	*State
	z, x, y [][]float64
}

// transform fills x with the inputs at rows u.
func (w *work) transform(u [][]float64) {
	variables := len(w.plan.Variables())
	w.z, w.x = resize(w.z, variables, len(u)), resize(w.x, variables, len(u))
	for r, row := range u {
		for i, value := range row {
			w.z[i][r] = value
		}
	}
	w.plan.FromNormal(w.z, w.x)
}

// model fills y with the outputs at rows u.
func (w *work) model(u [][]float64) {
	w.transform(u)
	w.y = resize(w.y, len(w.scenario.Model.Outputs()), len(u))
	w.scenario.Model.Evaluate(w.x, w.y)
}

// resize returns n columns of the given length, those of c where they have room.
func resize(c [][]float64, n, length int) [][]float64 {
	if c == nil {
		c = make([][]float64, n)
	}
	for i := range c {
		c[i] = slices.Grow(c[i][:0], length)[:length]
	}
	return c
}

// evaluate implements rare.Problem.
func (w *work) evaluate(u, g [][]float64) {
	w.model(u)
	for e, q := range w.events {
		for r, y := range w.y[w.output[e]] {
			g[e][r] = limitState(q, y)
		}
	}
	for r := range u {
		w.withoutValue(g, r)
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
func (w *work) withoutValue(g [][]float64, r int) {
	explained := slices.ContainsFunc(g, func(column []float64) bool { return column[r] <= 0 && !math.IsInf(column[r], -1) })
	for e := range g {
		if explained && math.IsInf(g[e][r], -1) {
			g[e][r] = math.Inf(1)
		}
	}
}

// Stream returns the random numbers of a seed for rare.Estimate.
func Stream(seed uint64) rare.Stream {
	return func(purpose string, index uint64) *rand.Rand {
		s := sim.NewStream(seed, purpose, index, "")
		return rand.New(&s)
	}
}
