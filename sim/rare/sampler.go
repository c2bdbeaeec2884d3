package rare

import (
	"fmt"
	"math/rand/v2"
	"slices"
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
// marginal densities without some variables. For values that do not depend on
// those variables the mean stays unbiased, and scatters less.
func (s Sampler) Without(variables []int) Sampler {
	var m mixture
	for j, c := range s.mixture.centre {
		c = slices.Clone(c)
		for _, i := range variables {
			c[i] = 0
		}
		m.add(s.mixture.share[j], c)
	}
	return Sampler{m}
}
