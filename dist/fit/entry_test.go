package fit

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

func TestEntryAsTOML(t *testing.T) {
	torque := func(x float64, difference bool) string {
		if difference {
			return fmt.Sprintf(`"%.3g N*m wide"`, x)
		}
		return fmt.Sprintf(`"%.4g N*m"`, x)
	}
	assert.Equal(t, `{ shape = "normal", mean = "2.503 N*m", sd = "0.0512 N*m wide", readings = 12 }`,
		fitted(t, Data{Values: audit}, Normal).Entry().TOML(torque))
	assert.Equal(t, `{ shape = "weibull", shape_parameter = 2.10206, scale = 81.8783, readings = 23 }`,
		fitted(t, Data{Values: bearings}, Weibull).Entry().TOML(nil))
	cut := fitted(t, Data{Values: audit, Kept: Range{Low: 2.2, High: math.Inf(1)}}, Gumbel).Entry()
	assert.Regexp(t, `^{ shape = "gumbel", location = ".*", scale = ".* wide", cut_low = "2.2 N\*m", readings = 12 }$`, cut.TOML(torque))
	l, err := NewLots([][]float64{{1, 1.1, 1.2}, {1.4, 1.3, 1.5}, {1.2, 1.15}}, 0.95)
	require.NoError(t, err)
	assert.Regexp(t, `^{ shape = "normal", mean = "1.231 N\*m", sd = ".* wide", lot_sd = ".* wide", readings = 6, lots_read = 3 }$`, l.Parts().TOML(torque))
}

// What is pasted is what was fitted.
func TestEntryIsTheFit(t *testing.T) {
	for _, family := range Families() {
		f := fitted(t, Data{Values: bearings, BetaLimits: Range{Low: 0, High: 300}}, family)
		d, err := dist.FromSpec(f.Entry().Spec())
		require.NoError(t, err)
		assert.Equal(t, f.Distribution().Quantile(0.1), d.Quantile(0.1), family)
	}
	cut := fitted(t, Data{Values: bearings, BetaLimits: Range{Low: 0, High: 300}, Kept: Range{Low: 10, High: 200}}, Beta)
	d, err := dist.FromSpec(cut.Entry().Spec())
	require.NoError(t, err)
	low, high := d.Support()
	assert.Equal(t, Range{Low: 10, High: 200}, Range{Low: low, High: high})
}

// A study entry with its number of readings predicts what the fit predicts: for
// families that only move and stretch, but for the shape of the sample.
func TestWithReadingsIsThePrediction(t *testing.T) {
	for family, tolerance := range map[Family]float64{
		// The whole likelihood of the sample is in its parameters, up to rounding
		// and the table of quantiles.
		Normal: 1e-9, Lognormal: 1e-5, HalfNormal: 1e-5, Rayleigh: 1e-5, Uniform: 1e-12, Gamma: 1e-5, Beta: 1e-5,
		// Here it is not: 0.15 of a score at four scores is what the sample adds.
		Weibull: 0.15, Gumbel: 0.15,
	} {
		f := fitted(t, Data{Values: bearings, BetaLimits: Range{Low: 0, High: 300}}, family)
		want, err := f.Predictive()
		require.NoError(t, err)
		e := f.Entry()
		got, err := WithReadings(e.Spec(), e.Readings)
		require.NoError(t, err)
		for _, z := range []float64{-4, -2, 0, 1, 3, 4} {
			x := dist.FromNormalScore(want, z)
			assert.InDelta(t, z, dist.NormalScore(got, x), tolerance, "%s, z = %g", family, z)
		}
	}
}

func TestWithReadingsCutsAndRefuses(t *testing.T) {
	spec := dist.Spec{Shape: "normal", Values: map[string]float64{"mean": 10, "sd": 1, "low": 8, "cut_high": 13}}
	d, err := WithReadings(spec, 12)
	require.NoError(t, err)
	low, high := d.Support()
	assert.Equal(t, Range{Low: 8, High: 13}, Range{Low: low, High: high})
	assert.Len(t, spec.Values, 4, "the map is not modified")
	d, err = WithReadings(dist.Spec{Shape: "weibull", Values: map[string]float64{"p10": 40, "p90": 120, "high": 150}}, 12)
	require.NoError(t, err)
	_, high = d.Support()
	assert.Equal(t, 150.0, high)
	assert.InDelta(t, 1, d.CDF(150), 1e-12)
	// Of very many readings nothing is left to learn.
	d, err = WithReadings(dist.Spec{Shape: "gamma", Values: map[string]float64{"shape": 4, "scale": 18}}, 1e8)
	require.NoError(t, err)
	sure := mustDist(t, "gamma", map[string]float64{"shape": 4, "scale": 18})
	assert.InEpsilon(t, sure.Survival(300), d.Survival(300), 1e-5)
	for name, c := range map[string]struct {
		spec     dist.Spec
		readings int
		want     string
	}{
		"too few":  {spec, 2, "readings: readings is 2, must be >= 3"},
		"shape":    {dist.Spec{Shape: "triangular", Values: map[string]float64{"low": 1, "mode": 2, "high": 3}}, 12, "triangular: readings can be given for [normal lognormal weibull gamma gumbel half-normal rayleigh beta uniform] only"},
		"value":    {dist.Spec{Shape: "normal", Values: map[string]float64{"mean": 1, "sd": -1}}, 12, "normal: sd is -1, must be > 0"},
		"location": {dist.Spec{Shape: "weibull", Values: map[string]float64{"shape": 2, "scale": 1, "location": 5}}, 12, "weibull: location is 5, must be 0 where readings are given"},
	} {
		_, err := WithReadings(c.spec, c.readings)
		assert.EqualError(t, err, c.want, name)
	}
}
