package loosen

import (
	"context"
	"slices"

	"clampodds/sim"
	"clampodds/sim/decide"
)

// Search moves the tolerances of a design in every condition of its mission.
type Search struct {
	decide.Setup
	// Members are the conditions, none informative; Base is their mission.
	Members []decide.Member
	Base    *decide.Mission
	// Once, if set, keeps the steps of the search along a move.
	Once func(s *Search, m Move) decide.Once
	// Near, if set, ends the search at a record that is met by so little: its upper bound over the target.
	Near float64
	// SameRows, if set, judge every position in place of records, on average.
	SameRows *decide.SameRows

	scouts decide.Scouts // of all moves
}

// Window are the positions of a Move at which the mission is met. With a base that is
// met, Upper and Lower are how far it stays so; otherwise how far it takes, either way,
// until it is. Of a Move that is UpOnly, Lower is zero, and Upper leads down where the
// base is not met.
type Window struct {
	Lower, Upper decide.Reached
}

// Window looks for the window of a move. Errors are those of decide.Reach and of a
// distribution that cannot be moved.
func (s *Search) Window(ctx context.Context, m Move) (w Window, err error) {
	r := &decide.Reach{
		Setup: s.Setup, Base: s.Base, From: m.Base, Accuracy: m.Finest, Parts: m.Parts, Straight: m.straight(), Near: s.Near, SameRows: s.SameRows, Scouts: &s.scouts,
		At: func(at float64) ([]decide.Member, error) { return s.At(m, at) },
	}
	if s.Once != nil {
		r.Once = s.Once(s, m)
	}
	base := slices.Index(m.Grid, m.Base)
	up, down := m.Grid[base+1:], slices.Clone(m.Grid[:base])
	slices.Reverse(down)
	way := func(positions []float64) (decide.Reached, error) {
		if s.Base.Verdict == sim.Met {
			return r.Outward(ctx, positions[len(positions)-1])
		}
		return r.Inward(ctx, positions...)
	}
	if m.UpOnly {
		if s.Base.Verdict == sim.Met {
			down = up
		}
		w.Upper, err = way(down)
		return w, err
	}
	if w.Upper, err = way(up); err != nil {
		return w, err
	}
	w.Lower, err = way(down)
	return w, err
}

// RecordAt judges a place at a position of a move, as Window does.
func (s *Search) RecordAt(ctx context.Context, m Move, at float64, p decide.Place) (decide.Record, error) {
	members, err := s.At(m, at)
	if err != nil {
		return decide.Record{}, err
	}
	if s.SameRows != nil {
		return s.SameRows.Record(ctx, members[p.Member].Scenario, p)
	}
	return s.Record(ctx, members[p.Member].Scenario, p.Requirement)
}

// At are the members at a position of a move.
func (s *Search) At(m Move, at float64) ([]decide.Member, error) {
	moved := slices.Clone(s.Members)
	for i := range moved {
		one, err := m.scenario(moved[i].Scenario, at)
		if err != nil {
			return nil, err
		}
		one.Name = moved[i].Name
		moved[i].Scenario = one
	}
	return moved, nil
}
