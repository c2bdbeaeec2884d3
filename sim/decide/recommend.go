package decide

import "math"

// recommend returns the multiple of step in the middle of [low, high] and how
// many steps either way stay inside; ok is false when no multiple lies inside.
// Without a step, a round one of about a tenth of the width is taken.
func recommend(low, high, step float64) (setting, tolerance, used float64, ok bool) {
	if step == 0 {
		step = roundBelow((high - low) / 10)
	}
	const rounding = 1e-9 // an end that is a multiple belongs to the window
	first, last := math.Ceil(low/step-rounding), math.Floor(high/step+rounding)
	if !(first <= last) {
		return 0, 0, step, false
	}
	middle := math.Floor((first + last) / 2)
	return middle * step, math.Min(middle-first, last-middle) * step, step, true
}

// roundBelow is the largest of 1, 2 and 5 times a power of 10 that is not above
// x > 0.
func roundBelow(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, digit := range []float64{5, 2} {
		if digit*power <= x {
			return digit * power
		}
	}
	return power
}
