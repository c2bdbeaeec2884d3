package rare

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"

	"clampodds/sim/interval"
)

const (
	fewestEffective  = 50
	largestFairShare = 0.1
)

// Importance is what importance sampling found.
type Importance struct {
	// Union is the probability of any event, Events that of each.
	Union  Probability
	Events []Probability
	// Failures counts the draws that failed. EffectiveDraws is (sum w)^2/sum w^2
	// over their weights w (Kish), LargestShare the largest w/sum w.
	Failures       int
	EffectiveDraws float64
	LargestShare   float64
	// Evaluations of the model used.
	Evaluations int

	failures []failure
	weights  []float64
}

// sound reports whether enough draws carry the estimate.
func (r Importance) sound() bool {
	return r.EffectiveDraws >= fewestEffective && r.LargestShare <= largestFairShare
}

// tally sums the weights of the draws that failed.
type tally struct {
	failures                             int
	sum, squares, cubes, fourth, largest float64
}

func (t *tally) add(weight float64) {
	t.failures++
	t.sum += weight
	square := weight * weight
	t.squares += square
	t.cubes += weight * square
	t.fourth += square * square
	t.largest = max(t.largest, weight)
}

// probability is the mean of n weighted indicators, with a t interval on the
// logarithm: estimate and error are positively correlated, since a draw of great
// weight raises both, and the symmetric interval would miss high values.
func (t tally) probability(n int, level float64) Probability {
	size := float64(n)
	p := Probability{Value: t.sum / size, Level: level, Method: ImportanceSampling}
	// Sample variance of the mean. The systematic allocation to components can
	// only lower it (Owen & Zhou 2000), so this is on the safe side.
	p.StandardError = math.Sqrt(max(0, t.squares-t.sum*p.Value) / (size * (size - 1)))
	spread := math.Exp(interval.StudentTUpper((1-level)/2, t.freedom(size)) * p.RelativeError())
	p.Low, p.High = p.Value/spread, min(1, p.Value*spread)
	return p
}

// freedom is the number of degrees of freedom of the variance of the weighted
// indicators, from their kurtosis: with heavy weights far fewer than n - 1. The
// variance s^2 of n draws has variance (kurtosis - 1) s^4/n, that of a chi-squared
// one 2 s^4/freedom.
func (t tally) freedom(n float64) float64 {
	mean, second, third, fourth := t.sum/n, t.squares/n, t.cubes/n, t.fourth/n
	variance := second - mean*mean
	central := fourth - 4*mean*third + 6*mean*mean*second - 3*mean*mean*mean*mean
	kurtosis := central / (variance * variance)
	if !(kurtosis > 1) { // all equal
		return n - 1
	}
	return min(n-1, 2*n/(kurtosis-1))
}

// sampleMixture makes n draws. The number is fixed beforehand: to stop where the
// estimated error is small enough would favour low estimates, by 1 to 4 %.
func sampleMixture(m *meter, q mixture, random *rand.Rand, n int, level float64) Importance {
	r := Importance{Evaluations: n}
	var union tally
	events := make([]tally, m.Events)
	b := m.newBatch(n)
	q.draw(random, b.u)
	m.evaluate(b)
	for row, u := range b.u {
		if !b.fails(row) {
			continue
		}
		weight := q.weight(u)
		r.failures = append(r.failures, b.failure(row))
		r.weights = append(r.weights, weight)
		union.add(weight)
		for e := range events {
			if b.g[e][row] <= 0 {
				events[e].add(weight)
			}
		}
	}
	r.Union = q.probability(union, n, level)
	for _, t := range events {
		r.Events = append(r.Events, q.probability(t, n, level))
	}
	r.Failures = union.failures
	if union.failures > 0 {
		r.EffectiveDraws = union.sum * union.sum / union.squares
		r.LargestShare = union.largest / union.sum
	}
	return r
}

// draw fills the rows u by systematic allocation to the components.
func (q mixture) draw(random *rand.Rand, u [][]float64) {
	offset := random.Float64()
	for row, at := range u {
		centre := q.centre[q.component(row, len(u), offset)]
		for i := range at {
			at[i] = centre[i] + random.NormFloat64()
		}
	}
}

// probability turns a tally into an estimate: an exact count where the mixture
// is the standard normal itself, or where nothing failed.
func (q mixture) probability(t tally, n int, level float64) Probability {
	if len(q.share) == 1 || t.failures == 0 {
		return counted(t.failures, int(q.share[0]*float64(n)), level)
	}
	return t.probability(n, level)
}

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
