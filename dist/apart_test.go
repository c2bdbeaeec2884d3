package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A mixture of the same lots, and where they are uniform by hand: 2 % in [0, 1], the rest in [2, 3].
func TestApartIsAMixtureWithAJump(t *testing.T) {
	a, err := NewApart(0.02, Uniform{0, 1}, Uniform{2, 3})
	require.NoError(t, err)
	m := mixed(t, []float64{0.02, 0.98}, Uniform{0, 1}, Uniform{2, 3})
	assert.Equal(t, 0.02, a.Jump())
	for _, p := range []float64{0, 1e-6, 0.01, 0.3, 0.9, 1} {
		assert.InDelta(t, m.Quantile(p), a.Quantile(p), 1e-12)
		assert.InDelta(t, m.UpperQuantile(p), a.UpperQuantile(p), 1e-12)
	}
	assert.InEpsilon(t, 0.5, a.Quantile(0.01), 1e-14)
	assert.InEpsilon(t, 2.5, a.Quantile(0.51), 1e-14)
	assert.Equal(t, 1.0, a.Quantile(0.02), "the smallest x with CDF(x) >= p")
	for _, x := range []float64{-1, 0.3, 1.5, 2.2, 4} {
		assert.InDelta(t, m.CDF(x), a.CDF(x), 1e-15)
		assert.InDelta(t, m.Survival(x), a.Survival(x), 1e-15)
	}
	for _, x := range []float64{0.3, 2.2} {
		assert.InEpsilon(t, m.LogDensity(x), a.LogDensity(x), 1e-12)
	}
	assert.True(t, math.IsInf(a.LogDensity(1.5), -1))
	for _, p := range []float64{-0.1, 1.1, math.NaN()} {
		assert.True(t, math.IsNaN(a.Quantile(p)) && math.IsNaN(a.UpperQuantile(p)))
	}
	assert.InEpsilon(t, m.Mean(), a.Mean(), 1e-15)
	assert.InEpsilon(t, m.StdDev(), a.StdDev(), 1e-15)
	low, high := a.Support()
	assert.Equal(t, []float64{0, 3}, []float64{low, high})
}

func TestApartRefusesLotsThatMeet(t *testing.T) {
	for _, lots := range [][2]Distribution{{Uniform{0, 1}, Uniform{1, 2}}, {Normal{0, 1}, Fixed{9}}} {
		_, err := NewApart(0.5, lots[0], lots[1])
		assert.ErrorContains(t, err, "end of the lower lot")
	}
	_, err := NewApart(1, Fixed{0}, Fixed{1})
	assert.ErrorContains(t, err, "share of the lower lot")
}
