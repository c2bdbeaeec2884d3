package dist

import "math"

// Uncut returns the distribution before the cuts, and the cuts: infinite on a
// side that is not cut.
func (t Truncated) Uncut() (d Distribution, low, high float64) {
	low, high = math.Inf(-1), math.Inf(1)
	if t.below > 0 {
		low = t.low
	}
	if t.above > 0 {
		high = t.high
	}
	return t.base, low, high
}
