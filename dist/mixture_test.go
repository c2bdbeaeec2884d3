package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func mixed(t *testing.T, weights []float64, lots ...Distribution) Mixture {
	m, err := NewMixture(weights, lots)
	require.NoError(t, err)
	return m
}

func TestMixtureAgainstReferences(t *testing.T) {
	m := mixed(t, []float64{0.6, 0.3, 0.1}, Normal{0.70, 0.02}, Normal{0.74, 0.03}, Normal{0.60, 0.01})
	// mpmath 1.3.0, 40 digits
	assert.InEpsilon(t, 0.94593871640435133385, m.UpperQuantile(1e-12), 1e-14)
	assert.InEpsilon(t, 0.54386371801528165067, m.Quantile(1e-9), 1e-14)
	assert.InEpsilon(t, 0.62946643579490682085, m.Quantile(0.1), 1e-13) // in the gap between two lots
	assert.InEpsilon(t, 0.70531408641350309543, m.Quantile(0.5), 1e-14)
}

// A point in the valley between two lots, where the probability hardly changes over
// many roundings of x (found by `make search`: 2.4e-12 off).
func TestMixtureInAValley(t *testing.T) {
	requireRoundTrip(t, "mixture", mixed(t, []float64{1, 9}, Normal{0, 10}, Normal{72.5, 5}), 0.1)
}

func TestMixtureMoments(t *testing.T) {
	// Two lots a distance d apart, weights w and 1-w: variance within plus w(1-w) d^2.
	m := mixed(t, []float64{3, 1}, Normal{10, 1}, Normal{14, 2})
	assert.InEpsilon(t, 11, m.Mean(), 1e-15)
	assert.InEpsilon(t, math.Sqrt(0.75*1+0.25*4+0.75*0.25*16), m.StdDev(), 1e-15)
	low, high := mixed(t, []float64{1, 1}, Uniform{1, 2}, Uniform{5, 7}).Support()
	assert.Equal(t, []float64{1, 7}, []float64{low, high})
}

func TestMixtureOfOneLotIsTheLot(t *testing.T) {
	lot := Lognormal{2, 0.3}
	m := mixed(t, []float64{7}, lot)
	for _, p := range []float64{1e-15, 1e-6, 0.2, 0.5} {
		assert.InEpsilon(t, lot.Quantile(p), m.Quantile(p), 1e-14)
		assert.InEpsilon(t, lot.UpperQuantile(p), m.UpperQuantile(p), 1e-14)
	}
	assert.InEpsilon(t, lot.LogDensity(3), m.LogDensity(3), 1e-14)
	assert.Equal(t, math.Inf(-1), m.LogDensity(-1))
}

// Lots without overlap: below the gap only the first lot counts, in the gap the
// CDF stands still and the quantile is its lower end.
func TestMixtureWithAGap(t *testing.T) {
	m := mixed(t, []float64{1, 1}, Uniform{0, 1}, Uniform{2, 3})
	assert.InEpsilon(t, 0.6, m.Quantile(0.3), 1e-12)
	assert.InEpsilon(t, 1, m.Quantile(0.5), 1e-12)
	assert.InEpsilon(t, 2.4, m.Quantile(0.7), 1e-12)
	assert.InEpsilon(t, 3-2e-12, m.UpperQuantile(1e-12), 1e-15)
}

// A lot without spread makes the CDF jump; the quantile stays at the jump.
func TestMixtureWithAFixedLot(t *testing.T) {
	m := mixed(t, []float64{1, 1}, Normal{0, 1}, Fixed{0.3})
	below := NormalCDF(0.3) / 2
	for _, p := range []float64{below + 1e-9, 0.5, below + 0.5 - 1e-9} {
		assert.InDelta(t, 0.3, m.Quantile(p), 1e-8, "%g", p)
		assert.InDelta(t, 0.3, m.UpperQuantile(1-p), 1e-8, "%g", p)
	}
	assert.InEpsilon(t, Normal{0, 1}.Quantile(2*0.2), m.Quantile(0.2), 1e-12)
	assert.InEpsilon(t, Normal{0, 1}.UpperQuantile(2*0.01), m.UpperQuantile(0.01), 1e-12)
	assert.Equal(t, math.Inf(1), m.LogDensity(0.3))

	loose := mixed(t, []float64{3, 2}, Fixed{0}, Uniform{2, 3})
	assert.Zero(t, loose.Quantile(0.2), "no remainder of a search")
	assert.Zero(t, loose.UpperQuantile(0.45))
	assert.InEpsilon(t, 2.5, loose.UpperQuantile(0.2), 1e-12)
}

func TestMixtureOfReadings(t *testing.T) {
	first, err := NewResampled([]float64{1, 2})
	require.NoError(t, err)
	second, err := NewResampled([]float64{2, 3})
	require.NoError(t, err)
	m := mixed(t, []float64{1, 1}, first, second)
	assert.InDelta(t, 1, m.Quantile(0.2), 1e-12)
	assert.InDelta(t, 2, m.Quantile(0.4), 1e-12)
	assert.InDelta(t, 2, m.Quantile(0.6), 1e-12)
	assert.InDelta(t, 3, m.Quantile(0.8), 1e-12)
}

func TestMixtureRefusals(t *testing.T) {
	lots := []Distribution{Fixed{1}, Fixed{2}}
	for _, c := range []struct {
		weights []float64
		lots    []Distribution
		text    string
	}{
		{nil, nil, "mixture: number of lots is 0, must be >= 1"},
		{[]float64{1}, lots, "mixture: number of weights is 1, must be the number of lots"},
		{[]float64{1, 0}, lots, "mixture: weight 2 is 0, must be > 0"},
		{[]float64{-1, 1}, lots, "mixture: weight 1 is -1, must be > 0"},
		{[]float64{1, math.NaN()}, lots, "mixture: weight 2 is NaN, must be > 0"},
		{[]float64{1, math.Inf(1)}, lots, "mixture: weight 2 is +Inf, must be > 0"},
		{[]float64{1e308, 1e308}, lots, "mixture: the sum of the weights is +Inf, must be finite"},
	} {
		_, err := NewMixture(c.weights, c.lots)
		assert.EqualError(t, err, c.text)
	}
}
