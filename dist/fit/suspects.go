package fit

import (
	"math"
	"slices"
)

// Suspects are the readings that a slip may have put where they are, as indexes: those that lie so far out among normal
// readings, or among readings with normal logarithms, that some reading of a column does with probability level at most; the
// farthest first, at most as many as OutlierTest takes off. They do not depend on a fitted family, which a single slip can
// choose. A set for each of the two scales, different ones only; none where some readings are only bounds.
func (s *Sample) Suspects(level float64) (sets [][]int) {
	if s.boundsOnly() || s.N() < 5 { // of four, three are left
		return nil
	}
	for _, build := range []func() model{normalModel, lognormalModel} {
		m := build()
		if s.inSupport(m) != nil {
			continue
		}
		t := OutlierTest{Most: mostOutliers(s.N())}
		t.steps(s.yardstick(m, nil), s.data.Values, level)
		var set []int
		for _, step := range t.Steps[:t.Flagged] {
			set = append(set, step.Index)
		}
		if len(set) > 0 && !slices.ContainsFunc(sets, func(other []int) bool { return sameSet(other, set) }) {
			sets = append(sets, set)
		}
	}
	return sets
}

func sameSet(a, b []int) bool {
	return len(a) == len(b) && !slices.ContainsFunc(a, func(i int) bool { return !slices.Contains(b, i) })
}

// Without is the sample without some of its readings, given by their indexes, what else is known of them unchanged. It fails
// as NewSample does where too little is left. Readings that are only bounds are no samples for it.
func (s *Sample) Without(indexes []int) (*Sample, error) {
	data := s.data
	data.Values = nil
	for i, x := range s.data.Values {
		if !slices.Contains(indexes, i) {
			data.Values = append(data.Values, x)
		}
	}
	return NewSample(data)
}

// Outlying bounds the probability that one of so many readings lies as far out as x, under the fit of the others: of the next
// part, its predictive distribution, on both sides, times the readings (Bonferroni). For normal readings that is the level of
// Grubbs' test. A rounded reading counts as its near end, and one of a gauge with an error in the parts' own spread. NaN where the
// readings do not bound the parameters.
func (f *Fit) Outlying(x float64, readings int) float64 {
	s := f.sample
	middle := f.Distribution().Quantile(0.5)
	distance := math.Max(math.Abs(x-middle)-s.step/2, 0)
	if g := s.data.GaugeSD; g > 0 {
		own := f.Distribution().StdDev()
		distance *= own / math.Hypot(own, g)
	}
	return math.Min(1, 2*float64(readings)*f.uncertain.beyond(middle+math.Copysign(distance, x-middle), x > middle))
}
