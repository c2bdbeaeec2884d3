package strata

import (
	"math"

	"clampodds/dist"
)

// stratum is a slice across the direction, scores from low to high, of one cell.
type stratum struct {
	low, high float64
	cell      int
	// slab is the probability of such scores, probability that of a row to lie in the stratum.
	slab, probability float64
}

// slice returns the strata between the cuts, in ascending order, and beyond
// them. Without cuts it is the whole space.
func slice(cuts []float64) []stratum {
	var all []stratum
	low := math.Inf(-1)
	for _, cut := range append(append([]float64{}, cuts...), math.Inf(1)) {
		s := stratum{low: low, high: cut}
		if low > 0 {
			s.slab = dist.NormalSurvival(low) - dist.NormalSurvival(cut)
		} else {
			s.slab = dist.NormalCDF(cut) - dist.NormalCDF(low)
		}
		s.probability = s.slab
		all = append(all, s)
		low = cut
	}
	return all
}

// scores turns points of the unit interval into scores of the stratum.
func (s stratum) scores(u []float64) {
	beyond, sign := dist.NormalCDF(s.low), 1.0
	if s.low > 0 {
		beyond, sign = dist.NormalSurvival(s.high), -1.0
	}
	for i := range u {
		u[i] = sign * dist.NormalQuantile(beyond+u[i]*s.slab)
	}
}

// along names the random numbers for the score along the direction; no variable
// has NUL in its name.
const along = "\x00along"

// openInterval moves p into [2^-53, 1-2^-53].
func openInterval(p float64) float64 { return min(max(p, 0x1p-53), 1-0x1p-53) }
