package decide

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"clampodds/sim"
)

// Adjust is a design with one setting that can be chosen, such as a torque. Low
// settings may miss some requirements and high settings others; in between each
// requirement holds on one stretch at most.
type Adjust struct {
	Setup
	// At makes the design with a setting; its inputs have the same variables' names at
	// all of them. It may be called concurrently.
	At func(setting float64) (sim.Scenario, error)
	// From and To bound the search, From < To; Now, between them, is the setting
	// as it stands.
	From, To, Now float64
}

// Window is where a setting keeps every requirement that has a target.
type Window struct {
	// Answer says whether there is such a setting. With Met, all from Lower.Safe
	// to Upper.Safe are.
	Answer sim.Verdict
	// Lower and Upper are its ends. Of a window that is empty they are those of the
	// two requirements that collide.
	Lower, Upper Bound
	// Never lists the requirements that, by the estimates, hold nowhere between
	// From and To.
	Never []Missed
	// Curves has the requirements with a target, in the order of the scenario.
	Curves []Curve
	// Widening says what halving the spread of an input brings, for the inputs
	// that matter most.
	Widening []Widening
}

// Bound is an end of the window.
type Bound struct {
	// Requirement is the one that sets the end, empty where none does between
	// From and To.
	Requirement string
	End
	// Safe is the end on the safe side of its interval; From or To where no
	// requirement sets one.
	Safe float64
}

// Missed is a requirement that holds nowhere.
type Missed struct {
	Requirement string
	Target      float64
	// Best is where the probability is lowest. Flat says that the setting hardly
	// matters there: what decides is something else.
	Best Point
	Flat bool
	// Inputs lists what decides, the largest share first.
	Inputs []Share
}

// Window looks for the window. An error says what is wrong with the Adjust, or
// is that of At, of the run or of the tail methods, or ErrStopped.
func (a *Adjust) Window(ctx context.Context) (*Window, error) {
	if !(a.From < a.Now && a.Now < a.To) {
		return nil, fmt.Errorf("setting %v, must lie between %v and %v", a.Now, a.From, a.To)
	}
	s := &search{Adjust: a, ctx: ctx}
	if err := s.explore(); err != nil {
		return nil, err
	}
	if len(s.curves) == 0 {
		return nil, errors.New("no requirement has a target")
	}
	if err := s.confirmMissed(); err != nil {
		return nil, err
	}
	for _, side := range []side{lower, upper} {
		if err := s.settle(side); err != nil {
			return nil, err
		}
	}
	w := s.conclude()
	var err error
	w.Widening, err = s.widen(w)
	return w, err
}

// conclude draws the answer from the curves.
func (s *search) conclude() *Window {
	w := &Window{Never: s.missed}
	for _, c := range s.curves {
		c.Falls = c.Points[len(c.Points)-1].value() > c.Points[0].value()
		w.Curves = append(w.Curves, *c.Curve)
	}
	w.Lower, w.Upper = s.bound(lower), s.bound(upper)
	w.decide()
	return w
}

// decide compares the ends.
func (w *Window) decide() {
	w.Answer = sim.Undecided
	switch {
	case slices.ContainsFunc(w.Never, func(m Missed) bool { return m.Best.Low > m.Target }):
		w.Answer = sim.NotMet
	case len(w.Never) > 0:
	case w.Lower.Safe <= w.Upper.Safe:
		w.Answer = sim.Met
	case w.Lower.Low > w.Upper.High:
		w.Answer = sim.NotMet
	}
}

// May bounds the settings at which the requirements may hold: all beyond are known to miss one.
func (w *Window) May(from, to float64) sim.Interval {
	return sim.Interval{Low: max(from, w.Lower.Low), High: min(to, w.Upper.High)}
}
