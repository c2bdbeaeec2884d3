package calibrate

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"clampodds/dist"
)

// independent observations of variance 4 and known mean 0, as a linear problem has them.
func independent(t *testing.T, y ...float64) *linear {
	l := &linear{problem: &Problem{}, residual: mat.NewVecDense(len(y), y), covariance: mat.NewSymDense(len(y), nil)}
	for i, v := range y {
		l.problem.Observations = append(l.problem.Observations, Observation{Value: v, Noise: 2})
		l.covariance.SetSym(i, i, 4)
	}
	require.True(t, l.chol.Factorize(l.covariance))
	return l
}

// One reading against others that do not hang together with it: Student's t of the reading over the root mean square of the others, as the general library
// has its distribution, where these are wider than stated, and the normal distribution where they are not. 1e-10: its tail
// is one less its distribution function, of 1e-3 here.
func TestASlipIsStudentsT(t *testing.T) {
	wide := []float64{4, -6, 5, -3, 7, 30}
	r, ok := independent(t, wide...).among([]int{0, 1, 2, 3, 4, 5}, 1)
	require.True(t, ok)
	scale := math.Sqrt((16 + 36 + 25 + 9 + 49) / 5.)
	assert.InDelta(t, 2*distuv.StudentsT{Sigma: 1, Nu: 5}.Survival(30/scale), r.beyond([]int{5}), 1e-10)
	narrow := []float64{0.1, -0.2, 0.1, -0.3, 0.2, 5}
	r, ok = independent(t, narrow...).among([]int{0, 1, 2, 3, 4, 5}, 1)
	require.True(t, ok)
	assert.InEpsilon(t, 2*dist.NormalSurvival(2.5), r.beyond([]int{5}), 1e-12, "two ways to one tail")
}

// What others lead to expect of a part of a normal vector: its conditional mean and covariance by the general library's own
// distribution. Rounding of two ways.
func TestExpectedIsConditional(t *testing.T) {
	covariance := mat.NewSymDense(4, []float64{4, 1, 2, 1, 1, 3, 1, 0.5, 2, 1, 5, 1, 1, 0.5, 1, 2})
	y := []float64{1, -2, 3, 0.5}
	l := independent(t, y...)
	l.covariance = covariance
	for o := range l.problem.Observations {
		l.problem.Observations[o].Noise = 0.5
	}
	r, ok := l.among([]int{0, 1, 2, 3}, 1)
	require.True(t, ok)
	deviation, chol, _, ok := r.given([]int{1, 2})
	require.True(t, ok)
	var got mat.SymDense
	chol.ToSym(&got)
	var inverse, gain, explained mat.Dense
	others := mat.NewDense(2, 2, []float64{4, 1, 1, 2})
	across := mat.NewDense(2, 2, []float64{1, 0.5, 2, 1})
	require.NoError(t, inverse.Inverse(others))
	gain.Mul(across, &inverse)
	explained.Mul(&gain, across.T())
	for i, o := range []int{1, 2} {
		mean := gain.At(i, 0)*y[0] + gain.At(i, 1)*y[3]
		assert.InDelta(t, y[o]-mean, deviation.AtVec(i), 1e-12)
		for j, q := range []int{1, 2} {
			assert.InDelta(t, covariance.At(o, q)-explained.At(i, j), got.At(i, j), 1e-12)
		}
	}
}

// One reading mistyped by 10 K is named with where it was to be; without it the result is that of a table without its row. Two do not hide
// each other, and readings of one state that are off alike are named together. A clean table has none.
func TestSlipsAreNamed(t *testing.T) {
	r := largeRig(0.12, 3, 4)
	p := r.problem(t)
	r.read(p, 0.9, rand.New(rand.NewPCG(5, 6)))
	for o := range p.Observations {
		p.Observations[o].State = o / 2
	}
	find := func(off map[int]float64) ([]Slip, *Result) {
		q := *p
		q.Observations = append([]Observation(nil), p.Observations...)
		for o, by := range off {
			r.observe(&q.Observations[o], math.Exp(q.Observations[o].Value)+by, rigNoise)
		}
		slips, without, err := q.Slips(t.Context())
		require.NoError(t, err)
		return slips, without
	}
	slips, without := find(nil)
	assert.Empty(t, slips)
	assert.Nil(t, without)

	slips, without = find(map[int]float64{5: 10})
	require.Len(t, slips, 1)
	assert.Equal(t, []int{5}, slips[0].Observations)
	assert.Less(t, slips[0].Probability, SlipLevel)
	typed := p.Observations[5].Value
	assert.Less(t, slips[0].Expected[0].Low, typed)
	assert.Greater(t, slips[0].Expected[0].High, typed)
	require.NotNil(t, without)
	alone, err := p.without([]suspect{{set: []int{5}}}).Solve(t.Context())
	require.NoError(t, err)
	assert.Equal(t, alone.Marginals[0].Quantile(0.5), without.Marginals[0].Quantile(0.5))
	assert.Len(t, without.Comparisons, len(p.Observations)-1)

	slips, _ = find(map[int]float64{1: 15, 8: -9})
	require.Len(t, slips, 2)
	assert.ElementsMatch(t, [][]int{{1}, {8}}, [][]int{slips[0].Observations, slips[1].Observations})

	slips, _ = find(map[int]float64{6: 10, 7: 10})
	require.Len(t, slips, 1)
	assert.Equal(t, []int{6, 7}, slips[0].Observations)
}

// A reading typed just above the wall, whose logarithm has a large error, is held against the error that it has where it was expected.
func TestASlipToTheWallIsSeen(t *testing.T) {
	r := largeRig(0.12, 3, 4)
	p := r.problem(t)
	r.read(p, 0.9, rand.New(rand.NewPCG(5, 6)))
	r.observe(&p.Observations[5], 0.1, rigNoise)
	p.NoiseAt = func(_ int, value float64) float64 { return rigNoise / math.Exp(value) }
	slips, _, err := p.Slips(t.Context())
	require.NoError(t, err)
	require.Len(t, slips, 1)
	assert.Equal(t, []int{5}, slips[0].Observations)
	p.NoiseAt = nil
	slips, _, err = p.Slips(t.Context())
	require.NoError(t, err)
	assert.Empty(t, slips, "by its own error it could be anything")
}

// The noise of others is the largest likelihood's: of independent readings their mean square over the variance stated, to a step of the
// search. What is farthest is held against that noise, and its probability counts all that was looked at, three steps long.
func TestFarthestIsHeldAgainstTheNoiseOfTheOthers(t *testing.T) {
	y := []float64{10, -12, 9, -11, 10, 13, -8, 12, -10, 11, -9, 10, 8, -12, 11, 90}
	all := make([]int, len(y))
	square := 0.
	for i := range y {
		all[i] = i
		if i < 15 {
			square += y[i] * y[i] / 4 / 15
		}
	}
	l := independent(t, y...)
	larger := l.noise(all[:15])
	assert.Less(t, math.Abs(math.Log(larger/square)), math.Log(noisier))
	assert.Equal(t, 1., independent(t, 1, -1, 1, 0.5, -0.5, 1).noise([]int{0, 1, 2, 3, 4, 5}), "not less than stated")

	// Pairs that share far more than the noise: only their differences show it.
	y = []float64{30, 20, -25, -15, 12, 1, -18, -8, 5, -6, -31, -20, 22, 12, 0, 30}
	l = independent(t, y...)
	for i := range y {
		l.covariance.SetSym(i, i, 404)
		l.covariance.SetSym(i/2*2, i/2*2+1, 400)
	}
	larger = l.noise(all[:14])
	r, ok := l.among(all, larger)
	require.True(t, ok)
	as, ok := l.among(all, 1)
	require.True(t, ok)
	got := l.suspects()
	assert.Contains(t, [][]int{{14}, {15}}, got[0].set)
	assert.InEpsilon(t, 3*16*r.beyond(got[0].set), got[0].probability, 0.5, "without the other of the pair the search may end a step beside")
	assert.Greater(t, r.beyond(got[0].set), 3*as.beyond(got[0].set), "the share in all distances takes in a part of it only")
}

// A state is named in place of its farthest observation only where it is much less likely: another observation that is a little off as
// well does not make it so.
func TestAStateIsNamedWhereItIsMuchLessLikely(t *testing.T) {
	y := []float64{2, -2, 2.2, -1.8, 2.1, -2.3, 1.9, -2, 2, -1.7, 12, 5}
	for name, c := range map[string]struct {
		second float64
		want   []int
	}{"a little off": {6, []int{10}}, "far off": {11, []int{10, 11}}} {
		y[11] = c.second
		l := independent(t, y...)
		for o := range l.problem.Observations {
			l.problem.Observations[o].State = o / 2
		}
		r, ok := l.among([]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}, 1)
		require.True(t, ok)
		assert.Less(t, r.beyond([]int{10, 11}), r.beyond([]int{10}), "%s: the state is less likely either way", name)
		assert.Equal(t, c.want, r.farthest().set, name)
	}
}
