package fit

import "math"

// rounding is the largest step of which all differences of rising values are
// multiples, 0 where it is so fine that it does not show in what is made of readings: a
// tenth of the standard deviation, and for more than 25 readings what adds 0.01 to the
// Anderson-Darling statistic of a normal fit, to which steps of w standard deviations add 0.04 n w^2.
func rounding(sorted []float64, sd float64) float64 {
	step := 0.0
	noise := 1e-6 * sd // of decimal fractions in binary
	shows := math.Min(fine, 0.5/math.Sqrt(float64(len(sorted)))) * sd
	for i := 1; i < len(sorted); i++ {
		for rest := sorted[i] - sorted[i-1]; rest > noise; {
			step, rest = rest, math.Abs(math.Remainder(step, rest))
		}
		if step > 0 && step <= shows {
			return 0
		}
	}
	return step
}

// foundStep is the step of all readings, or of those that stand more than once where they are four in five: one that was read more
// finely does not hide the step of the others.
func (s *Sample) foundStep() float64 {
	if step := rounding(s.sorted, s.sd); step > 0 {
		return step
	}
	var repeated []float64
	for i, x := range s.sorted {
		if i > 0 && x == s.sorted[i-1] || i+1 < len(s.sorted) && x == s.sorted[i+1] {
			repeated = append(repeated, x)
		}
	}
	if 5*len(repeated) < 4*len(s.sorted) {
		return 0
	}
	return rounding(repeated, s.sd)
}

// spread goes through the ranked readings, with their probabilities under d. Those of a step are put apart again: the
// probability between half a step below and above is divided evenly, into parts so fine that they no longer show. One alone
// stands in the middle of it, which is inside the support at its end too.
func (s *Sample) spread(d density, add func(below, above, count float64)) {
	for _, p := range s.ranked {
		parts := math.Max(1, math.Min(p.count, math.Ceil(2*s.step/s.sd*math.Sqrt(s.n))))
		low, high := p.x-s.step/2, p.x+s.step/2
		below, above := d.CDF(low), d.Survival(high)
		rise, fall := d.CDF(high)-below, d.Survival(low)-above
		for i := 0.5; i < parts; i++ {
			add(below+rise*i/parts, above+fall*(1-i/parts), p.count/parts)
		}
	}
}
