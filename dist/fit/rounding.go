package fit

import "math"

// rounding is the largest step of which all differences of rising values are
// multiples, 0 where it is no coarser than a tenth of the standard deviation: finer
// steps do not show in what is made of readings.
func rounding(sorted []float64, sd float64) float64 {
	step := 0.0
	noise := 1e-6 * sd // of decimal fractions in binary
	for i := 1; i < len(sorted); i++ {
		for rest := sorted[i] - sorted[i-1]; rest > noise; {
			step, rest = rest, math.Abs(math.Remainder(step, rest))
		}
		if step > 0 && step <= fine*sd {
			return 0
		}
	}
	return step
}
