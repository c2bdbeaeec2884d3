package interval

import "math"

// newtonIncreasing finds the zero of an increasing function by Newton steps
// from start, held inside a shrinking bracket within [low, high]; a step that
// leaves it is replaced by the midpoint. f returns value and slope.
func newtonIncreasing(f func(float64) (value, slope float64), low, high, start float64) float64 {
	x := start
	for range 200 {
		value, slope := f(x)
		switch {
		case value == 0:
			return x
		case value < 0:
			low = x
		default:
			high = x
		}
		next := x - value/slope
		if !(next > low && next < high) {
			next = low + (high-low)/2
		}
		if math.Abs(next-x) <= 2e-16*math.Abs(x) {
			return next
		}
		x = next
	}
	return x
}

// bisectIncreasing finds the zero of an increasing function in [low, high] to
// the last bits.
func bisectIncreasing(f func(float64) float64, low, high float64) float64 {
	for {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			return middle
		}
		if f(middle) < 0 {
			low = middle
		} else {
			high = middle
		}
	}
}
