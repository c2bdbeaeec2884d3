package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// cut builds a truncation that has to succeed.
func cut(t require.TestingT, d Distribution, low, high float64) Distribution {
	c, err := NewTruncated(d, low, high)
	require.NoError(t, err)
	return c
}

// Cuts far out in the upper tail and, mirrored, in the lower one: mpmath 1.3.0,
// 40 digits, from the closed forms of the truncated normal.
func TestTruncatedFarInTheTail(t *testing.T) {
	band := cut(t, Normal{0, 1}, 5, 6).(Truncated)
	assert.InEpsilon(t, 2.8566498423415621353e-7, band.Kept(), 1e-14)
	assert.InEpsilon(t, 5.1831470904771735185, band.Mean(), 1e-13)
	assert.InEpsilon(t, 0.17161710511625307458, band.StdDev(), 1e-12)
	assert.InEpsilon(t, 5.1313717632839191851, band.Quantile(0.5), 1e-14)
	assert.InEpsilon(t, 5.9999999529837965935, band.UpperQuantile(1e-9), 1e-14)

	tail := cut(t, Normal{0, 1}, 8, math.Inf(1)).(Truncated)
	assert.InEpsilon(t, 6.2209605742717841235e-16, tail.Kept(), 1e-13)
	assert.InEpsilon(t, 8.1213681122361126807, tail.Mean(), 1e-13)
	assert.InEpsilon(t, 0.11968660511243900336, tail.StdDev(), 1e-11)
	assert.InEpsilon(t, 8.0849110073915441024, tail.Quantile(0.5), 1e-14)
	assert.InEpsilon(t, 9.5543024685752591341, tail.UpperQuantile(1e-6), 1e-14)
	assert.InEpsilon(t, 1e-6, tail.Survival(9.5543024685752591341), 1e-12)

	mirrored := cut(t, Normal{0, 1}, math.Inf(-1), -8)
	assert.InEpsilon(t, -9.5543024685752591341, mirrored.Quantile(1e-6), 1e-14)
	assert.InEpsilon(t, -8.0849110073915441024, mirrored.UpperQuantile(0.5), 1e-14)
	assert.InEpsilon(t, 1e-6, mirrored.CDF(-9.5543024685752591341), 1e-12)
}

func TestTruncatedAtAuditLimits(t *testing.T) {
	d := cut(t, Normal{0.70, 0.035}, 0.60, 0.80).(Truncated)
	// mpmath 1.3.0
	assert.InEpsilon(t, 0.99572526603982744609, d.Kept(), 1e-14)
	assert.InEpsilon(t, 0.7, d.Mean(), 1e-14)
	assert.InEpsilon(t, 0.034317035612177514082, d.StdDev(), 1e-12)
	assert.Equal(t, math.Inf(-1), d.LogDensity(0.59))
	assert.InEpsilon(t, Normal{0.70, 0.035}.LogDensity(0.7)-math.Log(0.99572526603982744609), d.LogDensity(0.7), 1e-13)
}

// A cut exponential tail is the exponential again, moved: exact in every digit
// that the base has.
func TestTruncatedExponentialHasNoMemory(t *testing.T) {
	whole, err := NewWeibull(1, 2, 0)
	require.NoError(t, err)
	d := cut(t, whole, 60, math.Inf(1)) // keeps 1e-13
	for _, q := range []float64{1e-12, 1e-3, 0.3, 0.9, 1 - 1e-9} {
		assert.InEpsilon(t, 60+whole.UpperQuantile(q), d.UpperQuantile(q), 1e-14, "%g", q)
		assert.InEpsilon(t, 60+whole.Quantile(q), d.Quantile(q), 1e-14, "%g", q)
	}
	assert.InEpsilon(t, 62, d.Mean(), 1e-13)
	assert.InEpsilon(t, 2, d.StdDev(), 1e-11)
}

func TestTruncatedStaysInsideAndGoesRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name, base := anyShape(t)
		a, b := rapid.Float64Range(-5, 5).Draw(t, "low score"), rapid.Float64Range(0.5, 5).Draw(t, "score width")
		cutLow, cutHigh := FromNormalScore(base, a), FromNormalScore(base, a+b)
		if cutHigh-cutLow < 1e3*quantileError(base, cutHigh) {
			t.Skip("no room between the cuts in float64")
		}
		requireTruncatedRoundTrip(t, name, base, a, b)
	})
}

// Narrow shapes far from zero, cut beside their middle, where the two halves of the
// distribution have to meet although the ends are rounded.
func TestTruncatedBesideTheMiddle(t *testing.T) {
	for _, c := range []struct{ place, inexactness, score float64 }{
		{2.5, 0.126708984375, 9.313225746154785e-10},
		{7.999999523162842, 0.49, 7.450580596923828e-09},
	} {
		const size = 1e-6
		whole, err := NewCurvilinearTrapezoid(c.place, c.place+size, c.inexactness*size)
		require.NoError(t, err)
		requireTruncatedRoundTrip(t, "curvilinear-trapezoid", whole, c.score, 1)
		assert.InDelta(t, 0.5, whole.CDF(whole.Mean()), 1e-15)
		step := math.Nextafter(whole.Mean(), 100) - whole.Mean() // 1e-9 of the width
		assert.InDelta(t, 0.5+step*math.Exp(whole.LogDensity(whole.Mean())), whole.CDF(whole.Mean()+step), 1e-15)
	}
}

// requireTruncatedRoundTrip checks a truncation at the normal scores a and a+b.
func requireTruncatedRoundTrip(t require.TestingT, name string, base Distribution, a, b float64) {
	d := cut(t, base, FromNormalScore(base, a), FromNormalScore(base, a+b))
	kept := d.(Truncated).Kept()
	for _, p := range []float64{1e-9, 0.01, 0.3, 0.5, 0.8, 1 - 1e-9} {
		x := d.Quantile(p)
		low, high := d.Support()
		require.True(t, x >= low && x <= high, name)
		off := quantileError(base, x)
		// Probabilities of the base are good to 1e-15 absolute here, or
		// relative to the tail the cut is in.
		tail := min(NormalCDF(a+b), NormalSurvival(a))
		slack := 1e-12 + 4e-15*tail/kept
		require.LessOrEqual(t, d.CDF(x-off), p+slack, name)
		require.GreaterOrEqual(t, d.CDF(x+off), p-slack, name)
		require.InDelta(t, 1, d.CDF(x)+d.Survival(x), 1e-9, name)
	}
}

// Half of a heavy tail, on either side: E|T| and E T^2 of Student's t.
func TestTruncatedMomentsOfAHeavyTail(t *testing.T) {
	const dof = 2.2
	heavy, err := NewStudentT(dof, 0, 1)
	require.NoError(t, err)
	mean := 2 * math.Sqrt(dof/math.Pi) * math.Gamma((dof+1)/2) / math.Gamma(dof/2) / (dof - 1)
	sd := math.Sqrt(dof/(dof-2) - mean*mean)
	upper, lower := cut(t, heavy, 0, math.Inf(1)), cut(t, heavy, math.Inf(-1), 0)
	// 1e-8: the 1e-9 of the quantile table, doubled by the square
	assert.InEpsilon(t, mean, upper.Mean(), 1e-8)
	assert.InEpsilon(t, sd, upper.StdDev(), 1e-8)
	assert.InEpsilon(t, -mean, lower.Mean(), 1e-8)
	assert.InEpsilon(t, sd, lower.StdDev(), 1e-8)
}

func TestTruncatedMomentsOfATailThatHasNone(t *testing.T) {
	heavy, err := NewStudentT(1.5, 0, 1)
	require.NoError(t, err)
	assert.Equal(t, math.Inf(1), cut(t, heavy, 0, math.Inf(1)).StdDev())
	both := cut(t, heavy, -3, 3)
	assert.InDelta(t, 0, both.Mean(), 1e-9)
	assert.InDelta(t, 1.2, both.StdDev(), 0.3) // finite, and below that of the uniform on -+3
}

func TestTruncatedReadingsAreCutOneByOne(t *testing.T) {
	readings, err := NewResampled([]float64{1, 2, 2, 3, 4})
	require.NoError(t, err)
	d := cut(t, readings, 2, 3)
	assert.Equal(t, Resampled{[]float64{2, 2, 3}}, d)
	assert.Equal(t, Resampled{[]float64{4}}, cut(t, readings, 4, 9))
	_, err = NewTruncated(readings, 3.1, 3.9)
	assert.EqualError(t, err, "truncation: cut_low is 3.1, must be low enough to leave a reading up to cut_high")
}

func TestTruncatedThatCutsNothing(t *testing.T) {
	d := Uniform{1, 2}
	assert.Equal(t, d, cut(t, d, 1, 2))
	assert.Equal(t, d, cut(t, d, math.Inf(-1), math.Inf(1)))
	assert.Equal(t, Fixed{3}, cut(t, Fixed{3}, 3, 4))
}

func TestTruncatedRefusals(t *testing.T) {
	for _, c := range []struct {
		d         Distribution
		low, high float64
		text      string
	}{
		{Normal{0, 1}, 1, 1, "truncation: cut_high is 1, must be > cut_low"},
		{Normal{0, 1}, 2, 1, "truncation: cut_high is 1, must be > cut_low"},
		{Normal{0, 1}, math.NaN(), 1, "truncation: cut_high is 1, must be > cut_low"},
		{Normal{0, 1}, 0, math.NaN(), "truncation: cut_high is NaN, must be > cut_low"},
		{Uniform{1, 2}, 2, 3, "truncation: cut_low is 2, must be low enough to leave something"},
		{Uniform{1, 2}, 0, 1, "truncation: cut_high is 1, must be high enough to leave something"},
		{Normal{0, 1}, 50, 60, "truncation: cut_low is 50, must be low enough to leave something"},
		{Fixed{3}, 4, 5, "truncation: cut_low is 4, must be low enough to leave something"},
	} {
		_, err := NewTruncated(c.d, c.low, c.high)
		assert.EqualError(t, err, c.text)
	}
}
