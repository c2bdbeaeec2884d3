package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	_ "clampodds/testdata/fixedseed"
)

func TestResampledOwnsEqualStretches(t *testing.T) {
	d, err := NewResampled([]float64{30, 10, 20, 20})
	require.NoError(t, err)
	for _, c := range []struct{ p, x float64 }{
		{0, 10},
		{0.2499, 10},
		{0.25, 20},
		{0.7499, 20},
		{0.75, 30},
		{1, 30},
	} {
		assert.Equal(t, c.x, d.Quantile(c.p), "%g", c.p)
		assert.Equal(t, c.x, d.UpperQuantile(1-c.p), "%g", c.p)
	}
	assert.Equal(t, 30.0, d.UpperQuantile(1e-300))
	assert.Equal(t, []float64{0, 0.25, 0.75, 0.75, 1}, []float64{d.CDF(9), d.CDF(10), d.CDF(20), d.CDF(29), d.CDF(30)})
	assert.Equal(t, []float64{1, 0.75, 0.25, 0.25, 0}, []float64{
		d.Survival(9), d.Survival(10), d.Survival(20), d.Survival(29), d.Survival(30),
	})
	assert.Equal(t, 20.0, d.Mean())
	assert.InEpsilon(t, math.Sqrt(50), d.StdDev(), 1e-15)
	assert.Equal(t, math.Inf(1), d.LogDensity(20))
	assert.Equal(t, math.Inf(-1), d.LogDensity(20.5))
}

func TestResampledKeepsNothingOfTheCaller(t *testing.T) {
	readings := []float64{3, 1, 2}
	d, err := NewResampled(readings)
	require.NoError(t, err)
	assert.Equal(t, []float64{3, 1, 2}, readings, "argument modified")
	readings[1] = 99
	assert.Equal(t, 1.0, d.Quantile(0))
}

func TestResampledSingleReading(t *testing.T) {
	d, err := NewResampled([]float64{7})
	require.NoError(t, err)
	assert.Equal(t, []float64{7, 7, 7, 0}, []float64{d.Quantile(0.3), d.UpperQuantile(0.3), d.Mean(), d.StdDev()})
}

func TestMeasuredRefusals(t *testing.T) {
	_, err := NewResampled(nil)
	assert.EqualError(t, err, "measured: number of readings is 0, must be >= 1")
	_, err = NewResampled([]float64{1, math.NaN(), 2})
	assert.EqualError(t, err, "measured: reading 2 is NaN, must be finite")
	_, err = NewSmoothed([]float64{1})
	assert.EqualError(t, err, "measured: number of readings is 1, must be >= 2")
	_, err = NewSmoothed([]float64{1, 2, math.Inf(1)})
	assert.EqualError(t, err, "measured: reading 3 is +Inf, must be finite")
	_, err = NewSmoothed([]float64{5, 5, 5})
	assert.EqualError(t, err, "measured: the largest reading is 5, must be > the smallest")
}

// Mean and spread are those of the readings, checked by a quadrature that knows
// nothing of the curve's pieces (whose corners cost it 1e-5).
func TestSmoothedKeepsMeanAndSpread(t *testing.T) {
	for _, readings := range [][]float64{auditReadings, {1, 2}, {0, 0, 0, 1}, {1, 1.1, 1.2, 9}, {1e-6, 2e-6, 3e-6, 3e-6}} {
		d, err := NewSmoothed(readings)
		require.NoError(t, err)
		mean, sd := stat.MeanStdDev(readings, nil)
		// 1e-15: the same sums; a processor that fuses x*y + z rounds them once less.
		assert.InEpsilonSlice(t, []float64{mean, sd}, []float64{d.Mean(), d.StdDev()}, 1e-15)
		offset := integrateQuantile(d, func(x float64) float64 { return (x - mean) / sd })
		square := integrateQuantile(d, func(x float64) float64 { return (x - mean) * (x - mean) / (sd * sd) })
		assert.InDelta(t, 0, offset, 1e-4)
		assert.InDelta(t, 1, square, 1e-4)
	}
}

// Readings at exact normal plotting positions lie on a straight line, so the
// smoothed curve is the normal distribution of the same mean and spread, tails
// included, but for the difference between the sample sd and the line's slope
// at the two ends.
func TestSmoothedOfNormalReadingsIsNormal(t *testing.T) {
	const n = 400
	readings := make([]float64, n)
	for i := range readings {
		readings[i] = 10 + 2*NormalQuantile((float64(i)+0.5)/n)
	}
	d, err := NewSmoothed(readings)
	require.NoError(t, err)
	for _, p := range []float64{1e-12, 1e-6, 0.001, 0.05, 0.5, 0.95, 0.999} {
		want := Normal{10, d.StdDev()}.Quantile(p)
		assert.InDelta(t, want, d.Quantile(p), 0.01*d.StdDev(), "%g", p)
	}
}

// Smoothing a scaled and moved set is scaling and moving the smoothed one.
func TestSmoothedMovesWithItsReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		readings := []float64{-3, 3} // a spread there always is
		for _, eighths := range rapid.SliceOfN(rapid.IntRange(-24, 24), 1, 40).Draw(t, "eighths") {
			readings = append(readings, float64(eighths)/8) // moving them rounds nothing, ties stay ties
		}
		moved := make([]float64, len(readings))
		for i, x := range readings {
			moved[i] = 7 + 0.25*x
		}
		d, err := NewSmoothed(readings)
		require.NoError(t, err)
		m, err := NewSmoothed(moved)
		require.NoError(t, err)
		for _, p := range []float64{1e-9, 0.02, 0.3, 0.5, 0.9, 0.9999} {
			require.InDelta(t, 7+0.25*d.Quantile(p), m.Quantile(p), 1e-10)
			requireRoundTrip(t, "smoothed", d, min(p, 1-p))
		}
	})
}
