package dist

import "math"

// solveIncreasing returns the smallest x in [low, high] with value(x) >= 0 of a
// function that does not decrease. It takes Newton steps where they stay inside
// the bracket and halves the bracket where they do not, or where the slope is
// unknown (zero, infinite or NaN), which is also how it finds a jump.
//
// The values are logarithms of probability ratios everywhere in this package,
// so one more step from a value below 1e-8 is at rounding level, Newton steps
// squaring the error; next to a jump or a corner that last step stays unchecked.
func solveIncreasing(function func(x float64) (value, slope float64), low, high, guess float64) float64 {
	const close = 1e-8
	const mostSteps = 200 // a bracket of any two float64 of one sign and scale is closed in 64
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
			if next == x || math.Abs(value) < close {
				return min(max(next, low), high)
			}
		}
		if !(next > low && next < high) {
			next = low + (high-low)/2
			if next <= low || next >= high {
				return high
			}
		}
		x = next
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
