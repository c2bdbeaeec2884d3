package strata

import (
	"math"
	"slices"
)

// more returns how many more rows each stratum gets, and whether Most allows no
// more than that. After a look it adds to all strata alike or, where that is
// cheaper, starts anew with a better allocation: adding rows where events were
// seen, and none where not, would bias the estimate.
func (s *sample) more(share []float64) (extra []int64, capped bool) {
	extra = s.wanted(share, aim*s.Relative)
	if grown := s.grown(share); grown != nil && total(grown) < total(extra) {
		extra = grown
	} else {
		s.forget()
	}
	left := max(0, s.Most-s.done)
	if total(extra) <= left {
		return extra, false
	}
	pilot := s.tooMany(total(extra)) // a profile may be far off: what a pilot shows decides
	if pilot {
		left = min(left, s.Pilot)
	}
	fit := float64(left) / float64(total(extra))
	for h, n := range extra {
		extra[h] = int64(fit * float64(n))
		if s.rows[h] == 0 {
			extra[h] = max(extra[h], fewestRows)
		}
	}
	return extra, !pilot
}

// hopeless is how many times Most a half-width may take before no more than a pilot is drawn for it: all of Most would leave
// it more than three times too wide.
const hopeless = 10

// tooMany says that so many rows are out of reach.
func (s *sample) tooMany(rows int64) bool { return s.Pilot > 0 && rows/hopeless > s.Most }

// grown returns additional rows in proportion to those there are; nil without any.
func (s *sample) grown(share []float64) []int64 {
	if total(s.rows) == 0 {
		return nil
	}
	times := func(factor float64) []int64 {
		rows := make([]int64, len(s.rows))
		for h, n := range s.rows {
			rows[h] = int64(math.Ceil(factor * float64(n)))
		}
		return rows
	}
	factor := leastTrue(1, 1e-3, func(factor float64) bool {
		return width(s.strata, share, times(1+factor), s.Confidence) <= aim*s.Relative
	})
	return times(factor)
}

// wanted returns the number of rows in all of each stratum, from nothing.
func (s *sample) wanted(share []float64, relative float64) []int64 {
	if slices.Max(share) == 0 {
		return allocate(s.strata, share, 1.0/unseenRows, 0)
	}
	return cheapest(s.strata, share, relative, s.Confidence)
}

func (s *sample) needed() int64 {
	share := s.shares(s.exceeding)
	if slices.Max(share) == 0 {
		return math.MaxInt64
	}
	return s.done + min(total(s.grown(share)), total(s.wanted(share, aim*s.Relative)))
}
