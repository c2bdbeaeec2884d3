package dist

import (
	"math"

	"gonum.org/v1/gonum/interp"
)

// transformed is a distribution of a variable y on the whole line (a logarithm
// of the quantity, or of the odds) whose quantiles have to be searched for.
type transformed interface {
	lowerTail(y float64) float64
	upperTail(y float64) float64
	logDensity(y float64) float64 // of y
	// lowerGuess and upperGuess start the search.
	lowerGuess(p float64) float64
	upperGuess(q float64) float64
}

// The search runs between these: exp of either end is still a normal number.
const lowestLog, highestLog = -700, 700

func searchLower(t transformed, p float64) float64 {
	return lowerTailRoot(t.lowerTail, t.logDensity, p, lowestLog, highestLog, t.lowerGuess(p))
}

func searchUpper(t transformed, q float64) float64 {
	return upperTailRoot(t.upperTail, t.logDensity, q, lowestLog, highestLog, t.upperGuess(q))
}

// The table reaches a tail probability of 8e-17; a step of 1/64 keeps the error
// of y below 1e-9 for every shape that is let in (5e-10 measured).
const (
	tableEnd  = 8.25
	tableStep = 1.0 / 64
)

// tabulated gives the quantiles of y from a table over the normal score z: cubic
// Hermite pieces through the exact values and slopes dy/dz = phi(z)/density(y).
// In z both tails are smooth, which they are not in p. Beyond the table the
// search goes on. Immutable after construction.
type tabulated struct {
	transformed
	curve interp.PiecewiseCubic
}

func tabulate(t transformed) *tabulated {
	var scores, values, slopes []float64
	for z := -tableEnd; z <= tableEnd; z += tableStep {
		y := 0.0
		if z < 0 {
			y = searchLower(t, NormalCDF(z))
		} else {
			y = searchUpper(t, NormalSurvival(z))
		}
		scores, values = append(scores, z), append(values, y)
		slopes = append(slopes, math.Exp(NormalLogDensity(z)-t.logDensity(y)))
	}
	table := &tabulated{transformed: t}
	table.curve.FitWithDerivatives(scores, values, slopes)
	return table
}

func (t *tabulated) lowerQuantile(p float64) float64 {
	switch z := NormalQuantile(p); {
	case math.Abs(z) <= tableEnd:
		return t.curve.Predict(z)
	case z < 0 && p > 0:
		return searchLower(t, p)
	default: // an end, where p is 0 or 1, or NaN
		return z
	}
}

func (t *tabulated) upperQuantile(q float64) float64 {
	switch z := -NormalQuantile(q); {
	case math.Abs(z) <= tableEnd:
		return t.curve.Predict(z)
	case z > 0 && q > 0:
		return searchUpper(t, q)
	default:
		return z
	}
}

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
