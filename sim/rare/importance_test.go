package rare

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

func TestWeightIsTheRatioOfDensities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dim := rapid.IntRange(1, 4).Draw(t, "dim")
		coordinates := rapid.SliceOfN(rapid.Float64Range(-4, 4), dim, dim)
		q := newMixture(dim, rapid.Float64Range(0.1, 0.9).Draw(t, "crude"), rapid.SliceOfN(coordinates, 0, 3).Draw(t, "centres"))
		assert.InDelta(t, 1, floats.Sum(q.share), 1e-12)
		u := coordinates.Draw(t, "u")
		density := func(centre []float64) float64 {
			product := 1.0
			for i := range u {
				product *= distuv.UnitNormal.Prob(u[i] - centre[i])
			}
			return product
		}
		mixed := 0.0
		for j, c := range q.centre {
			mixed += q.share[j] * density(c)
		}
		want := density(make([]float64, dim)) / mixed
		// Exponents up to 4 * 16 * 4 lose two or three digits.
		assert.InEpsilon(t, want, q.weight(u), 1e-12)
		assert.LessOrEqual(t, q.weight(u), (1+1e-12)/q.share[0])
		assert.InDelta(t, 1, floats.Sum(q.responsibilities(u)), 1e-12)
		assert.InEpsilon(t, q.share[0]*want, q.responsibilities(u)[0], 1e-12)
	})
}

// Failures at two centres, three times as many at one: the shares follow, but for
// the quarter that is dealt out equally.
func TestSharesFollowTheFailures(t *testing.T) {
	q := newMixture(2, 0.2, [][]float64{{6, 0}, {6, 0.2}, {-6, 0}})
	require.Len(t, q.share, 3, "the near one is merged")
	assert.InDeltaSlice(t, []float64{0.2, 0.4, 0.4}, q.share, 1e-12)
	at := func(x float64) failure { return failure{u: []float64{x, 0}} }
	q = q.fit([]failure{at(6), at(-6)}, []float64{3, 1})
	assert.InDeltaSlice(t, []float64{0.2, 0.8 * (0.75*0.75 + 0.125), 0.8 * (0.75*0.25 + 0.125)}, q.share, 1e-8, "each failure belongs to its centre but for exp(-18)")
	assert.Equal(t, []float64{1}, newMixture(2, 0.1, nil).fit([]failure{at(6)}, []float64{1}).share)
}

func TestEachComponentGetsItsShareWithinOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		raw := rapid.SliceOfN(rapid.Float64Range(0.01, 1), 1, 6).Draw(t, "shares")
		floats.Scale(1/floats.Sum(raw), raw)
		q := mixture{share: raw}
		n := rapid.IntRange(1, 300).Draw(t, "n")
		offset := rapid.Float64Range(0, 0.999).Draw(t, "offset")
		counts := make([]float64, len(raw))
		for r := range n {
			counts[q.component(r, n, offset)]++
		}
		for j, s := range raw {
			// Each end of a component's interval moves its count by less than one.
			assert.InDelta(t, s*float64(n), counts[j], 1+1e-9)
		}
	})
}

func TestCollapsedWeightsAreSeen(t *testing.T) {
	// One centre on a sphere that fails all round.
	q := newMixture(10, 0.1, [][]float64{{6.5, 0, 0, 0, 0, 0, 0, 0, 0, 0}})
	m := &meter{Problem: problem(10, sphere(6.5))}
	r := sampleMixture(m, q, stream(1)("test", 0), 2000, 0.95)
	assert.False(t, r.sound())
	assert.Equal(t, 2000, m.used)
}

func TestNoFailureAmongTheDraws(t *testing.T) {
	q := newMixture(1, 0.1, [][]float64{{4}})
	m := &meter{Problem: problem(1, func([]float64) float64 { return 1 })}
	r := sampleMixture(m, q, stream(1)("test", 0), 1000, 0.95)
	assert.Zero(t, r.Union.Value)
	// A tenth of the draws came from the standard normal: 1 - 0.025^(1/100).
	assert.InEpsilon(t, 0.03621669264, r.Union.High, 1e-9)
}

// Draws of equal weight are a plain count: the interval on the logarithm must
// then hold the exact one's value, and the spread be the binomial one.
func TestEqualWeights(t *testing.T) {
	var w tally
	for range 100 {
		w.add(1)
	}
	p := w.probability(1000, 0.95)
	assert.InEpsilon(t, 0.1, p.Value, 1e-12)
	assert.InEpsilon(t, 0.3/math.Sqrt(999), p.StandardError, 1e-12)
	assert.InEpsilon(t, 2*1000/(0.73/0.09-1), w.freedom(1000), 1e-12) // kurtosis (1 - 3pq)/pq
	w = tally{}
	for range 10 {
		w.add(0.5)
	}
	assert.InEpsilon(t, 9.0, w.freedom(10), 1e-12)
}
