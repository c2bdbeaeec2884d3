package dist

import "clampodds/joint/lanes"

// NormalCDF returns the standard normal P(Z <= z). Its relative error is below
// 1e-13 while the result is above 1e-200 (z > -30).
//
// Special cases: 0 at -Inf, 1 at +Inf, NaN for NaN. Safe for concurrent use, as
// are all functions here.
func NormalCDF(z float64) float64 { return NormalSurvival(-z) }

// NormalSurvival returns the standard normal P(Z > z), as accurate in the upper
// tail as NormalCDF is in the lower one.
func NormalSurvival(z float64) float64 {
	if z < 0 {
		return 1 - tail(z)
	}
	return tail(z)
}

// NormalLogDensity returns the logarithm of the standard normal density,
// -z*z/2 - ln(2 pi)/2.
func NormalLogDensity(z float64) float64 {
	const halfLogTwoPi = 0.918938533204672741780329736405617639861397 // ln(2 pi)/2
	return -0.5*z*z - halfLogTwoPi
}

// normalShape is met by shapes that are functions of a standard normal
// variable, for which going through a probability would cost time and digits.
type normalShape interface {
	fromNormalScore(z float64) float64
	normalScore(x float64) float64
}

// FromNormalScore returns the value of d that is exceeded with the same
// probability as z is by a standard normal variable. It goes through the
// smaller tail, so that both ends are accurate to |z| = 37; beyond, shapes that
// are not themselves transformed normal variables return the end of their
// support.
func FromNormalScore(d Distribution, z float64) float64 {
	if n, ok := d.(normalShape); ok {
		return n.fromNormalScore(z)
	}
	if z > 0 {
		return d.UpperQuantile(tail(z))
	}
	return d.Quantile(tail(z))
}

// FromNormalScores replaces scores by what FromNormalScore returns of each. It does not
// allocate.
func FromNormalScores(d Distribution, scores []float64) {
	var b block
	one := func(to, from []float64) { fromScores(d, to, from) }
	switch d := d.(type) { // the most frequent shapes, without a call through the interface
	case Normal:
		for i, z := range scores {
			scores[i] = d.fromNormalScore(z)
		}
	case Lognormal:
		each(scores, scores, func(to, from *lanes.Row) bool { return b.lognormalScores(d, to, from) }, func(to, from []float64) {
			for i, z := range from {
				to[i] = d.fromNormalScore(z)
			}
		})
	case HalfNormal:
		each(scores, scores, func(to, from *lanes.Row) bool { return b.tails(from) && b.halfNormalOf(d, to) }, func(to, from []float64) {
			for i, z := range from {
				// The tail beyond the score is the upper one where it is above 0.
				if t := tail(z); z > 0 {
					to[i] = d.at(1-t, t)
				} else {
					to[i] = d.at(t, 1-t)
				}
			}
		})
	case Uniform:
		each(scores, scores, func(to, from *lanes.Row) bool { return b.tails(from) && b.uniformOf(d, to) }, one)
	case Truncated:
		each(scores, scores, func(to, from *lanes.Row) bool { return b.tails(from) && b.truncatedOf(d, to) }, one)
	default:
		one(scores, scores)
	}
}

func fromScores(d Distribution, to, from []float64) {
	for i, z := range from {
		to[i] = FromNormalScore(d, z)
	}
}

// NormalScore is the inverse of FromNormalScore: the standard normal value that
// is exceeded with the same probability as x is by d. -Inf and +Inf outside the
// support.
func NormalScore(d Distribution, x float64) float64 {
	if n, ok := d.(normalShape); ok {
		return n.normalScore(x)
	}
	if p := d.CDF(x); p < 0.5 {
		return NormalQuantile(p)
	}
	return -NormalQuantile(d.Survival(x))
}

// Transform sets dst[i] to the quantile of d at u[i]. dst may be u itself; it
// has to be as long as u at least, or Transform panics. It does not allocate.
// Points of the unit cube are best kept within [2^-53, 1 - 2^-53]: 0 and 1 give
// the ends of the support, which may be infinite.
func Transform(d Distribution, dst, u []float64) {
	dst = dst[:len(u)]
	var b block
	one := func(to, from []float64) { quantilesOf(d, to, from) }
	switch d := d.(type) { // the most frequent shapes, without a call through the interface
	case Normal:
		each(dst, u, func(to, from *lanes.Row) bool { return b.normal(d, to, from) }, func(to, from []float64) { fromQuantiles(d, to, from) })
	case Lognormal:
		each(dst, u, func(to, from *lanes.Row) bool { return b.lognormal(d, to, from) }, func(to, from []float64) { fromQuantiles(d, to, from) })
	case HalfNormal:
		each(dst, u, func(to, from *lanes.Row) bool { return b.probabilities(from) && b.halfNormalOf(d, to) }, func(to, from []float64) {
			for i, p := range from {
				to[i] = d.at(p, 1-p)
			}
		})
	case Uniform:
		each(dst, u, func(to, from *lanes.Row) bool { return b.probabilities(from) && b.uniformOf(d, to) }, one)
	case Truncated:
		each(dst, u, func(to, from *lanes.Row) bool { return b.probabilities(from) && b.truncatedOf(d, to) }, one)
	default:
		one(dst, u)
	}
}

// fromQuantiles goes through the standard normal quantile.
func fromQuantiles[D normalShape](d D, to, from []float64) {
	quantiles(to, from)
	for i, z := range to {
		to[i] = d.fromNormalScore(z)
	}
}

// quantilesOf goes through the quantile, one by one.
func quantilesOf(d Distribution, to, from []float64) {
	for i, p := range from {
		to[i] = d.Quantile(p)
	}
}
