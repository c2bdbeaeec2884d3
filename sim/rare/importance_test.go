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
		var points []DesignPoint
		for _, u := range rapid.SliceOfN(coordinates, 0, 3).Draw(t, "points") {
			points = append(points, DesignPoint{U: u, Beta: floats.Norm(u, 2)})
		}
		q := newMixture(dim, points, rapid.Float64Range(0, 0.9).Draw(t, "crude"))
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
		assert.InEpsilon(t, q.share[0]*want, q.defensive(u), 1e-12)
	})
}

func TestSharesFollowTheFirstOrderProbabilities(t *testing.T) {
	at := func(beta float64) DesignPoint { return DesignPoint{U: []float64{beta, 0}, Beta: beta} }
	near := DesignPoint{U: []float64{2, 0.2}, Beta: 2}
	q := newMixture(2, []DesignPoint{at(2), near, at(-3)}, 0)
	require.Len(t, q.share, 3) // the near one is merged
	likely := []float64{tail(2), tail(-3)}
	for j, l := range likely {
		assert.InDelta(t, 0.9*(0.75*l/floats.Sum(likely)+0.25/2), q.share[j+1], 1e-12)
	}
	assert.InDelta(t, 0.4, newMixture(2, []DesignPoint{at(2)}, 0.4).share[0], 1e-12)
	assert.Equal(t, []float64{1}, newMixture(2, nil, 0).share)
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

// coverage counts how often the interval of an estimate holds the exact value.
func coverage(repetitions int, exact float64, estimate func(seed uint64) Probability) float64 {
	held := 0
	for i := range repetitions {
		if p := estimate(uint64(1000 + i)); p.Low <= exact && exact <= p.High {
			held++
		}
	}
	return float64(held) / float64(repetitions)
}

// lowestCoverage is the nominal 0.95 less three standard errors of 1000
// repetitions: a true 0.95 falls below it in 1 case of 700.
const lowestCoverage = 0.95 - 3*0.00689

func TestImportanceIntervalCovers(t *testing.T) {
	all := states()
	for _, c := range []struct {
		state, limit int
		target       float64
	}{
		{2, 1000, 1e-9}, {2, 5000, 0.05}, // linear, 2.9e-7; stopped at the target
		{4, 1000, 1e-9},                   // four branches
		{9, 1000, 1e-9},                   // narrow: few draws fail
		{14, 1000, 1e-9}, {14, 5000, 0.1}, // two points, 1.5e-7
		{17, 2000, 1e-9}, // four points, 8e-7
	} {
		s := all[c.state]
		points, _ := pointsOf(s.problem, 1)
		q := newMixture(s.problem.Dim, points, 0)
		got := coverage(1000, s.exact, func(seed uint64) Probability {
			m := &meter{Problem: s.problem, limit: c.limit}
			return sampleMixture(m, q, stream(seed), 0, c.target, 0.95).Union
		})
		assert.GreaterOrEqual(t, got, lowestCoverage, "%s, %d draws, target %g", s.id, c.limit, c.target)
	}
}

func TestImportanceSamplingStopsAtTheTarget(t *testing.T) {
	q := newMixture(1, []DesignPoint{{U: []float64{4}, Beta: 4}}, 0)
	for _, c := range []struct {
		target float64
		limit  int
		missed bool
	}{{0.1, 20000, false}, {0.03, 20000, false}, {0.01, 20000, true}} {
		m := &meter{Problem: linear(1, 4), limit: c.limit}
		r := sampleMixture(m, q, stream(1), 0, c.target, 0.95)
		assert.Equal(t, c.missed, r.Union.RelativeError() > c.target)
		assert.Equal(t, c.missed, len(r.Warnings) > 0)
		assert.Equal(t, m.used, r.Evaluations)
		assert.GreaterOrEqual(t, r.Evaluations, fewestDraws)
		// The trace ends in the estimate, which is the mean of the replicates.
		assert.InEpsilon(t, r.Union.Value, r.Trace[len(r.Trace)-1], 1e-12)
		assert.InEpsilon(t, r.Union.Value, floats.Sum(r.Replicates)/float64(len(r.Replicates)), 1e-12)
	}
}

func TestCollapsedWeightsAreReported(t *testing.T) {
	// One centre on a sphere that fails all round.
	q := newMixture(10, []DesignPoint{{U: []float64{6.5, 0, 0, 0, 0, 0, 0, 0, 0, 0}, Beta: 6.5}}, 0)
	m := &meter{Problem: problem(10, sphere(6.5)), limit: 2000}
	r := sampleMixture(m, q, stream(1), 0, 0.1, 0.95)
	assert.False(t, r.sound())
	assert.Equal(t, []Code{WeightsCollapsed, TargetMissed}, codes(r.Warnings))
}

func TestNoFailureAmongTheDraws(t *testing.T) {
	q := newMixture(1, []DesignPoint{{U: []float64{4}, Beta: 4}}, 0)
	m := &meter{Problem: problem(1, func([]float64) float64 { return 1 }), limit: 1000}
	r := sampleMixture(m, q, stream(1), 0, 0.1, 0.95)
	assert.Equal(t, []Code{NoFailureSeen}, codes(r.Warnings))
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
