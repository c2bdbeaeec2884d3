package rare

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// Sampler draws around centres, as importance sampling does around design points,
// for means over the standard normal space of whatever matters there: the mean of
// weight times value over the draws is unbiased for the mean of the value. It is
// immutable and safe for concurrent use.
type Sampler struct{ mixture mixture }

// NewSampler returns the sampler of the mixture of unit normals around the origin
// (defensive, in (0, 1], at least 0.1 bounds every weight by 10) and around the
// centres, each of dim coordinates; those nearer than 0.3 to one before are left
// out, the others share the rest equally. Without centres all draws are around
// the origin. Arguments out of range panic.
func NewSampler(dim int, defensive float64, centres ...[]float64) Sampler {
	if dim < 1 || !(defensive > 0 && defensive <= 1) {
		panic(fmt.Sprintf("rare: a sampler in %d dimensions with %g around the origin", dim, defensive))
	}
	return Sampler{newMixture(dim, defensive, centres)}
}

// Draw fills the rows u with draws, each centre getting its share of them
// within one.
func (s Sampler) Draw(random *rand.Rand, u [][]float64) {
	s.mixture.draw(random, u)
}

// Weight is the density of the standard normal space at u over that of the
// draws.
func (s Sampler) Weight(u []float64) float64 { return s.mixture.weight(u) }

// Without returns a sampler that differs in its weights: they are those of the
// marginal densities across some directions, each of dim coordinates and none a sum
// of the others. For values that do not change along those directions the mean
// stays unbiased, and scatters less; for others it is biased.
func (s Sampler) Without(directions [][]float64) Sampler {
	var across [][]float64 // orthonormal, of the same span
	for _, d := range directions {
		d = project(d, across)
		across = append(across, floats.ScaleTo(d, 1/floats.Norm(d, 2), d))
	}
	var m mixture
	for j, c := range s.mixture.centre {
		m.add(s.mixture.share[j], project(c, across))
	}
	return Sampler{m}
}

// project returns the part of v that is orthogonal to all of the orthonormal base.
func project(v []float64, base [][]float64) []float64 {
	v = slices.Clone(v)
	for _, b := range base {
		floats.AddScaled(v, -floats.Dot(b, v), b)
	}
	return v
}
