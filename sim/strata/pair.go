package strata

import (
	"context"
	"errors"
	"math"

	"clampodds/sim"
)

// ErrTooFew says that no row of the small samples exceeded the limit in either
// design, or that all rows went into those samples.
var ErrTooFew = errors.New("too few rows exceed the limit")

// Pair is how much more often a row exceeds a limit in one design than in another, on rows common to both.
type Pair struct {
	// Rows is the number of rows evaluated in each design, small samples included.
	Rows int64

	drawn drawn
	// rows by stratum that exceed in the other only, in the first only, in both
	onlyOther, onlyFirst, both []int64
}

// partner is the design that a sample's is compared with.
type partner struct {
	scenario sim.Scenario
	// rows that exceed, by stratum
	only, theirs, both []int64
}

func (p *partner) forget() {
	clear(p.only)
	clear(p.theirs)
	clear(p.both)
}

// count adds rows of a stratum.
func (p *partner) count(h int, e sim.PairedExceedance) {
	p.only[h] += e.OnlyFirst
	p.theirs[h] += e.OnlyOther
	p.both[h] += e.Both
}

// Compare estimates how much more often a row exceeds q in the second of two designs
// than in the first, from about o.Most rows drawn along the direction in which the
// output of one of them rises, the same rows for both: lead, 0 or 1, best the one
// that exceeds more often. Relative is not looked at. The confidence must be above
// 1/2.
//
// Errors are those of Estimate, and ErrTooFew.
func Compare(ctx context.Context, designs [2]sim.Scenario, lead int, q sim.Requirement, o Options) (*Pair, error) {
	s, err := newSample(ctx, designs[lead], q, nil, o)
	if err != nil {
		return nil, err
	}
	s.partner = newPartner(designs[1-lead], q, len(s.strata))
	share, err := s.profile()
	if err != nil {
		return nil, err
	}
	rows := s.within(share, o.Most-s.done)
	if rows == nil {
		return nil, ErrTooFew
	}
	if err := s.draw("strata/pair", rows); err != nil {
		return nil, err
	}
	other, first, both := s.partner.only, s.partner.theirs, s.partner.both
	if lead == 0 {
		other, first = first, other
	}
	return &Pair{Rows: s.done, drawn: s.drawn, onlyOther: other, onlyFirst: first, both: both}, nil
}

func newPartner(design sim.Scenario, q sim.Requirement, strata int) *partner {
	design = design.Only(q.Output)
	return &partner{
		// A name of its own: a design may be compared with itself.
		scenario: sim.Scenario{Name: "\x00" + design.Name, Inputs: design.Inputs.Single(), Model: design.Model, Requirements: []sim.Requirement{q}},
		only:     make([]int64, strata), theirs: make([]int64, strata), both: make([]int64, strata),
	}
}

// within is the allocation of the narrowest interval with about most rows: it tries
// heaviest weights of an event, as cheapest does. It is nil without events in the
// profile, or without rows for it.
func (s *sample) within(share []float64, most int64) (best []int64) {
	probability := expected(s.strata, share)
	narrowest := math.Inf(1)
	for part := 1e-4; part < 0.3 && probability > 0; part *= 1.6 {
		fits := func(density float64) []int64 { return allocate(s.strata, share, part*probability, density) }
		if total(fits(0)) > most {
			continue
		}
		rows := filled(most, fits)
		if w := width(s.strata, share, rows, s.Confidence); w < narrowest {
			best, narrowest = rows, w
		}
	}
	return best
}

// oneSided has bounds of a level on either side: the ends of an interval that may miss on
// either side as often.
func (s drawn) oneSided(others int64, counts []int64, level float64) sim.Estimate {
	if e := s.weightedBeside(others, counts, 2*level-1); e.Count > 0 {
		return e
	}
	return s.weightedBeside(others, counts, level) // one-sided as it is
}

// OnlyOther is the probability that a row exceeds in the other design only, with bounds that are each right with a level above 1/2.
// So many other plain rows showed no such one.
func (p *Pair) OnlyOther(level float64, others int64) sim.Estimate {
	return p.drawn.oneSided(others, p.onlyOther, level)
}

// Difference is other - (1+share) first, with bounds that are each right with a level
// above 1/2: those of the three kinds of rows, which exceed independently, put
// together as distances from the estimates (square-and-add; Zou & Donner, Statist.
// Med. 27 (2008) 1693, from memory).
func (p *Pair) Difference(share, level float64) (value, low, high float64) {
	down, up := 0.0, 0.0
	for _, part := range []struct {
		sim.Estimate
		times float64
	}{{p.OnlyOther(level, 0), 1}, {p.drawn.oneSided(0, p.onlyFirst, level), -1 - share}, {p.drawn.oneSided(0, p.both, level), -share}} {
		value += part.times * part.Value
		below, above := part.times*(part.Value-part.Low), part.times*(part.High-part.Value)
		if part.times < 0 {
			below, above = -above, -below
		}
		down, up = math.Hypot(down, below), math.Hypot(up, above)
	}
	return value, value - down, value + up
}
