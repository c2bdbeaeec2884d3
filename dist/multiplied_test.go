package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestMultipliedIsAProduct(t *testing.T) {
	crown, err := NewHalfNormal(5e-6)
	require.NoError(t, err)
	twice, err := Multiplied(crown, 2)
	require.NoError(t, err)
	for _, p := range []float64{1e-9, 0.1, 0.5, 0.95} {
		// Exact: a power of two rounds nothing.
		assert.Equal(t, 2*crown.Quantile(p), twice.Quantile(p))
		assert.Equal(t, 2*crown.UpperQuantile(p), twice.UpperQuantile(p))
	}
	assert.Equal(t, 2*crown.StdDev(), twice.StdDev())
	low, _ := twice.Support()
	assert.Zero(t, low, "a form deviation stays above zero")

	none, err := Multiplied(crown, 0)
	require.NoError(t, err)
	assert.Equal(t, Fixed{0}, none)
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		_, err := Multiplied(crown, bad)
		assert.ErrorContains(t, err, "factor")
	}
}

func TestWithCutsMovesOnlyTheCuts(t *testing.T) {
	whole := Normal{10, 2}
	cut, err := NewTruncated(whole, 7, 13)
	require.NoError(t, err)
	wider, err := cut.(Truncated).WithCuts(2)
	require.NoError(t, err)
	want, err := NewTruncated(whole, 4, 16)
	require.NoError(t, err)
	for _, p := range []float64{0.001, 0.3, 0.9} {
		// 1e-12: the mean between symmetric cuts is 10 to rounding.
		assert.InEpsilon(t, want.Quantile(p), wider.Quantile(p), 1e-12)
	}

	oneSided, err := NewTruncated(whole, math.Inf(-1), 11)
	require.NoError(t, err)
	narrower, err := oneSided.(Truncated).WithCuts(0.5)
	require.NoError(t, err)
	low, high := narrower.Support()
	assert.True(t, math.IsInf(low, -1), "the uncut side stays uncut")
	assert.Less(t, high, 11.0)
	assert.Greater(t, high, oneSided.Mean())

	skewed, err := NewLognormal(1, 0.5)
	require.NoError(t, err)
	kept, err := NewTruncated(skewed, 0.5, 3)
	require.NoError(t, err)
	free, err := kept.(Truncated).WithCuts(1e9)
	require.NoError(t, err)
	low, _ = free.Support()
	assert.Zero(t, low)

	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		_, err := cut.(Truncated).WithCuts(bad)
		assert.ErrorContains(t, err, "factor")
	}
}
