package strata

import (
	"math"

	"gonum.org/v1/gonum/floats"

	"clampodds/dist"
	"clampodds/sim"
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

// sampler draws rows of one stratum; it is a sim.Sampler. Its random numbers
// belong to its purpose: those of other strata and runs are independent.
type sampler struct {
	stratum
	direction
	cells   cells
	purpose string
}

func (sampler) Name() string    { return "strata along the direction in which the output rises" }
func (sampler) Dependent() bool { return false }

// Fill draws independent normal scores, z, and moves them along the direction
// a from where they are, a z, to a score t drawn in the stratum: z + a (t - a z)
// is standard normal given a z = t.
func (s sampler) Fill(u [][]float64, dimensions []string, seed, block uint64) {
	for d, name := range dimensions {
		stream := sim.NewStream(seed, s.purpose, block, name)
		stream.Fill(u[d])
	}
	if len(u) == 0 {
		return
	}
	s.cells.move(s.cell, u, len(u[0]))
	if len(s.variable) == 0 {
		return
	}
	stream := sim.NewStream(seed, s.purpose, block, along)
	move := make([]float64, len(u[0]))
	stream.Fill(move)
	s.scores(move)
	for i, d := range s.variable {
		dist.NormalQuantiles(u[d], u[d])
		floats.AddScaled(move, -s.weight[i], u[d])
	}
	for i, d := range s.variable {
		for r, z := range u[d] {
			u[d][r] = openInterval(dist.NormalCDF(z + s.weight[i]*move[r]))
		}
	}
}

// openInterval moves p into [2^-53, 1-2^-53].
func openInterval(p float64) float64 { return min(max(p, 0x1p-53), 1-0x1p-53) }
