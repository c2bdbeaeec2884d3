package dist

import "math"

// solveIncreasing returns the smallest x in [low, high] with value(x) >= 0 of a
// function that does not decrease. It takes Newton steps where they stay inside
// the bracket and halves the bracket where they do not, or where the slope is
// unknown (zero, infinite or NaN), which is also how it finds a jump.
//
// The values are logarithms of probability ratios everywhere in this package. What
// a Newton step leaves is the value times half the change of the slope on its way,
// and the way is shorter than the last: the search ends where the value times the
// last change of the slope is at rounding level. The value alone does not tell: in
// the valley between two lots it is small far from the root, and the slope is not
// the same there.
func solveIncreasing(function func(x float64) (value, slope float64), low, high, guess float64) float64 {
	const close, rounding = 1e-8, 1e-14
	const mostSteps = 200 // a bracket of any two float64 of one sign and scale is closed in 64
	before := math.NaN()  // the slope one step ago
	x := min(max(guess, low), high)
	for range mostSteps {
		value, slope := function(x)
		if value >= 0 {
			high = x
		} else {
			low = x
		}
		next := math.NaN()
		if slope > 0 && !math.IsInf(slope, 1) {
			next = x - value/slope
			if next == x || math.Abs(value) < close && math.Abs(value*(slope/before-1)) < rounding {
				return min(max(next, low), high)
			}
		}
		if !(next > low && next < high) {
			next = low + (high-low)/2
			if next <= low || next >= high {
				return high
			}
		}
		x, before = next, slope
	}
	return high
}

// lowerTailRoot returns the x in [low, high] at which a cumulative probability
// reaches p; density is the logarithm of its derivative.
func lowerTailRoot(cdf, logDensity func(x float64) float64, p, low, high, guess float64) float64 {
	return solveIncreasing(func(x float64) (value, slope float64) {
		tail := cdf(x)
		return math.Log(tail / p), math.Exp(logDensity(x)) / tail
	}, low, high, guess)
}

// upperTailRoot returns the x in [low, high] at which a survival probability
// has come down to q.
func upperTailRoot(survival, logDensity func(x float64) float64, q, low, high, guess float64) float64 {
	return solveIncreasing(func(x float64) (value, slope float64) {
		tail := survival(x)
		return math.Log(q / tail), math.Exp(logDensity(x)) / tail
	}, low, high, guess)
}
