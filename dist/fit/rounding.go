package fit

import "math"

// rounding is the largest step of which all differences of rising values are
// multiples, 0 where it is no coarser than a share of the standard deviation.
func rounding(sorted []float64, sd, share float64) float64 {
	step := 0.0
	noise := 1e-6 * sd // of decimal fractions in binary
	for i := 1; i < len(sorted); i++ {
		for rest := sorted[i] - sorted[i-1]; rest > noise; {
			step, rest = rest, math.Abs(math.Remainder(step, rest))
		}
		if step > 0 && step <= share*sd {
			return 0
		}
	}
	return step
}

// tied is the step, in standard deviations, above which readings rounded to it no longer count as exact in the
// Anderson-Darling statistic, to which equal readings add 0.04 n step^2.
func tied(n float64) float64 { return math.Min(fine, 0.5/math.Sqrt(n)) }

// spread are the values and counts of ranked readings, those of a step put apart again: their probability under d, between half
// a step below and above, is divided evenly. What is left of each joined is too little to show.
func (s *Sample) spread(d density, add func(below, above, count float64)) {
	for _, p := range s.ranked {
		parts := math.Min(p.count, math.Ceil(2*s.ties/s.sd*math.Sqrt(s.n)))
		if parts <= 1 {
			add(d.CDF(p.x), d.Survival(p.x), p.count)
			continue
		}
		low, high := p.x-s.ties/2, p.x+s.ties/2
		below, above := d.CDF(low), d.Survival(high)
		rise, fall := d.CDF(high)-below, d.Survival(low)-above
		for i := 0.5; i < parts; i++ {
			add(below+rise*i/parts, above+fall*(1-i/parts), p.count/parts)
		}
	}
}
