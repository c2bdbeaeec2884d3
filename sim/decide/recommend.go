package decide

import "math"

// recommend returns the multiple of step in the middle of [low, high] and how far
// either way multiples stay inside; ok is false when none lies inside.
func recommend(low, high, step float64) (setting, tolerance float64, ok bool) {
	const rounding = 1e-9 // an end that is a multiple belongs to the window
	first, last := math.Ceil(low/step-rounding), math.Floor(high/step+rounding)
	if !(first <= last) {
		return 0, 0, false
	}
	middle := math.Floor((first + last) / 2)
	return middle * step, math.Min(middle-first, last-middle) * step, true
}
