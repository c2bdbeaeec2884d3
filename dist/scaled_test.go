package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Half the spread about the mean, then moved: a normal stays the normal with
// the parameters one would write down.
func TestShiftedAndShrunkNormal(t *testing.T) {
	half, err := WithSpread(Normal{10, 2}, 0.5)
	require.NoError(t, err)
	moved, err := Shifted(half, 3)
	require.NoError(t, err)
	want := Normal{13, 1}
	for _, p := range []float64{1e-15, 0.01, 0.5} {
		assert.InEpsilon(t, want.Quantile(p), moved.Quantile(p), 1e-14)
		assert.InEpsilon(t, want.UpperQuantile(p), moved.UpperQuantile(p), 1e-14)
	}
	for _, x := range []float64{5, 13, 14.5, 21} {
		assert.InEpsilon(t, want.CDF(x), moved.CDF(x), 1e-13)
		assert.InEpsilon(t, want.Survival(x), moved.Survival(x), 1e-13)
		assert.InEpsilon(t, want.LogDensity(x), moved.LogDensity(x), 1e-13)
	}
	assert.Equal(t, []float64{13, 1}, []float64{moved.Mean(), moved.StdDev()})
	assert.Equal(t, scaled{Normal{10, 2}, 0.5, 8}, moved, "one layer, not two")
}

func TestWithSpreadKeepsTheMean(t *testing.T) {
	for name, d := range exampleShapes(t) {
		for _, factor := range []float64{0, 0.5, 1, 2} {
			s, err := WithSpread(d, factor)
			require.NoError(t, err)
			assert.InEpsilon(t, 1+d.Mean(), 1+s.Mean(), 1e-13, name)
			assert.InDelta(t, factor*d.StdDev(), s.StdDev(), 1e-14*d.StdDev(), name)
		}
	}
}

func TestWithSpreadOfATailWithoutMean(t *testing.T) {
	d, err := NewStudentT(1, 4, 2)
	require.NoError(t, err)
	s, err := WithSpread(d, 0.5)
	require.NoError(t, err)
	assert.InEpsilon(t, 4, s.Quantile(0.5), 1e-14)
	assert.InEpsilon(t, 4+0.5*(d.Quantile(0.9)-4), s.Quantile(0.9), 1e-14)
	s, err = WithSpread(d, 0)
	require.NoError(t, err)
	assert.Equal(t, Fixed{4}, s)
}

func TestScaledSupportAndFixed(t *testing.T) {
	s, err := WithSpread(Uniform{1, 3}, 0.5)
	require.NoError(t, err)
	low, high := s.Support()
	assert.Equal(t, []float64{1.5, 2.5}, []float64{low, high})
	f, err := Shifted(Fixed{1}, 2)
	require.NoError(t, err)
	assert.Equal(t, Fixed{3}, f)
}

func TestScaledRefusals(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err := Shifted(Fixed{1}, bad)
		assert.ErrorContains(t, err, "shifted: delta is")
		_, err = WithSpread(Fixed{1}, bad)
		assert.ErrorContains(t, err, "spread: factor is")
	}
	_, err := WithSpread(Fixed{1}, -0.5)
	assert.EqualError(t, err, "spread: factor is -0.5, must be >= 0")
}
