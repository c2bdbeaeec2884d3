package dist

import (
	"errors"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func fromSpec(t *testing.T, shape string, values map[string]float64) Distribution {
	d, err := FromSpec(Spec{shape, values})
	require.NoError(t, err, shape)
	return d
}

// exampleValues holds a value for every key that fits all the forms of a shape.
func exampleValues(shape string, keys []string) map[string]float64 {
	all := map[string]float64{
		"value": 1, "mean": 2, "sd": 0.5, "cov": 0.25, "median": 2, "sigma_ln": 0.3, "nominal": 2, "plus": 0.5, "minus": 0.25,
		"coverage": 0.9973, "cp": 1.33, "cpk": 1.1, "low": 1, "mode": 1.75, "high": 4, "low_mode": 1.5, "high_mode": 3,
		"shape": 1.7, "scale": 2, "location": 0.5, "dof": 5, "alpha": 2, "beta": 3, "inexactness": 0.25,
	}
	percentiles := []string{"p10", "p95"}
	if slices.Contains(keys, "mean") || slices.Contains(keys, "median") {
		percentiles = percentiles[1:]
	}
	all["p10"], all["p95"] = 1.5, 3.5
	values := map[string]float64{}
	for _, key := range keys {
		if key == percentileWildcard {
			key, percentiles = percentiles[0], percentiles[1:]
		}
		values[key] = all[key]
	}
	return values
}

// eachForm runs f for every set of keys of every shape.
func eachForm(f func(shape string, values map[string]float64)) {
	for _, shape := range Shapes() {
		for _, keys := range ShapeKeys(shape) {
			f(shape, exampleValues(shape, keys))
		}
	}
}

// What one puts in comes out again, in the distribution's own terms.
func TestEveryFormGivesBackItsValues(t *testing.T) {
	forms := 0
	eachForm(func(shape string, values map[string]float64) {
		forms++
		d := fromSpec(t, shape, values)
		name := shape + " " + strings.Join(slices.Sorted(maps.Keys(values)), " ")
		for key, value := range values {
			p, isPercentile := keyProbability(key)
			switch {
			case isPercentile:
				assert.InEpsilon(t, value, d.Quantile(p), 1e-12, "%s: %s", name, key)
				assert.InEpsilon(t, p, d.CDF(value), 1e-12, "%s: %s", name, key)
			case key == "mean":
				assert.InEpsilon(t, value, d.Mean(), 1e-12, "%s: %s", name, key)
			case key == "sd":
				assert.InEpsilon(t, value, d.StdDev(), 1e-11, "%s: %s", name, key)
			case key == "cov":
				assert.InEpsilon(t, value, d.StdDev()/d.Mean(), 1e-12, "%s: %s", name, key)
			case key == "coverage":
				inside := d.CDF(values["nominal"]+values["plus"]) - d.CDF(values["nominal"]-values["minus"])
				assert.InEpsilon(t, value, inside, 1e-12, name)
			case key == "cp":
				assert.InEpsilon(t, value, (values["plus"]+values["minus"])/(6*d.StdDev()), 1e-14, name)
			case key == "cpk":
				assert.Equal(t, values["nominal"], d.Mean(), name)
				assert.InEpsilon(t, value, min(values["plus"], values["minus"])/(3*d.StdDev()), 1e-14, name)
			case key == "low" || key == "high":
				low, high := d.Support()
				assert.Equal(t, value, map[string]float64{"low": low, "high": high}[key]+
					map[string]float64{"low": 1, "high": -1}[key]*values["inexactness"], "%s: %s", name, key)
			}
		}
	})
	assert.Equal(t, 44, forms)
}

// Every value of every form, replaced by one that is not a number, is refused
// by its own name.
func TestEveryFormRefusesWhatIsNotFinite(t *testing.T) {
	eachForm(func(shape string, values map[string]float64) {
		for key := range values {
			for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
				spoilt := maps.Clone(values)
				spoilt[key] = bad
				d, err := FromSpec(Spec{shape, spoilt})
				var refused *ParameterError
				require.Truef(t, errors.As(err, &refused), "%s with %s %g: %v", shape, key, bad, err)
				assert.Nil(t, d)
				assert.Equal(t, shape, refused.Shape)
				assert.Equal(t, key, refused.Parameter, err)
			}
		}
	})
}

func TestRefusedValues(t *testing.T) {
	for _, c := range []struct {
		shape  string
		values map[string]float64
		text   string
	}{
		{"normal", map[string]float64{"mean": 1, "sd": 0}, "normal: sd is 0, must be > 0"},
		{"normal", map[string]float64{"mean": 0, "cov": 0.1}, "normal: mean is 0, must be other than 0 where cov is given"},
		{"normal", map[string]float64{"mean": 3, "p95": 2}, "normal: p95 is 2, must be on its own side of the mean"},
		{"normal", map[string]float64{"mean": 3, "p05": 4}, "normal: p05 is 4, must be on its own side of the mean"},
		{"normal", map[string]float64{"mean": 3, "p50": 4}, "normal: median is 4, must be on its own side of the mean"},
		{"normal", map[string]float64{"p05": 2, "p95": 2}, "normal: p95 is 2, must be > p05"},
		{"normal", map[string]float64{"p99.9": 2, "median": 3}, "normal: p99.9 is 2, must be > median"},
		{"normal", map[string]float64{"nominal": 1, "plus": 0, "minus": 0, "cp": 1}, "normal: plus is 0, must be > 0 where minus is 0"},
		{"normal", map[string]float64{"nominal": 1, "plus": -1, "minus": 2, "cp": 1}, "normal: plus is -1, must be >= 0"},
		{"normal", map[string]float64{"nominal": 1, "plus": 1, "minus": 1, "coverage": 1}, "normal: coverage is 1, must be between 0 and 1"},
		{"normal", map[string]float64{"nominal": 1, "plus": 1, "minus": 0, "cpk": 1}, "normal: minus is 0, must be > 0"},
		{"lognormal", map[string]float64{"mean": 1, "sd": -1}, "lognormal: sd is -1, must be > 0"},
		{"lognormal", map[string]float64{"median": 0, "sigma_ln": 1}, "lognormal: median is 0, must be > 0"},
		{"lognormal", map[string]float64{"median": 2, "p95": 1}, "lognormal: p95 is 1, must be on its own side of the median"},
		{"lognormal", map[string]float64{"p05": -1, "p95": 1}, "lognormal: p05 is -1, must be > 0"},
		{"uniform", map[string]float64{"low": 2, "high": 2}, "uniform: high is 2, must be > low"},
		{"triangular", map[string]float64{"low": 2, "mode": 1, "high": 3}, "triangular: mode is 1, must be >= low"},
		{"triangular", map[string]float64{"low": 2, "mode": 2, "high": 2}, "triangular: high is 2, must be > low"},
		{"trapezoidal", map[string]float64{"low": 1, "low_mode": 2, "high_mode": 1.5, "high": 3}, "trapezoidal: high_mode is 1.5, must be >= low_mode"},
		{"half-normal", map[string]float64{"p95": 0}, "half-normal: p95 is 0, must be > 0"},
		{"rayleigh", map[string]float64{"scale": -2}, "rayleigh: scale is -2, must be > 0"},
		{"weibull", map[string]float64{"p10": 1, "p90": 2, "location": 1}, "weibull: p10 is 1, must be > location"},
		{"weibull", map[string]float64{"mean": 1, "sd": 100}, "weibull: sd is 100, must be 0.0005 to 20 times (mean - location)"},
		{"weibull", map[string]float64{"shape": 0, "scale": 1}, "weibull: shape is 0, must be > 0"},
		{"beta", map[string]float64{"low": 0, "high": 1, "mean": 0.5, "sd": 0.6}, "beta: sd is 0.6, must be such that alpha and beta are from 0.25 to 5000"},
		{"beta", map[string]float64{"low": 0, "high": 1, "mean": 2, "sd": 0.6}, "beta: mean is 2, must be between low and high"},
		{"beta", map[string]float64{"low": 0, "high": 1, "mode": 2}, "beta: mode is 2, must be between low and high"},
		{"beta", map[string]float64{"low": 0, "high": 1, "alpha": 0.01, "beta": 1}, "beta: alpha is 0.01, must be from 0.25 to 5000"},
		{"gamma", map[string]float64{"mean": 1, "sd": 5}, "gamma: sd is 5, must be 1/100 to 3 times the mean"},
		{"student-t", map[string]float64{"dof": 0.1, "location": 0, "scale": 1}, "student-t: dof is 0.1, must be from 0.5 to 100000"},
		{"curvilinear-trapezoid", map[string]float64{"low": 0, "high": 1, "inexactness": 0.5}, "curvilinear-trapezoid: inexactness is 0.5, must be < (high - low)/2"},
		{"normal", map[string]float64{"mean": 0, "sd": 1, "low": 3, "high": 2}, "normal: high is 2, must be > low"},
		{"normal", map[string]float64{"mean": 0, "sd": 1, "low": 60}, "normal: low is 60, must be low enough to leave something"},
		{"uniform", map[string]float64{"low": 1, "high": 2, "cut_high": 1}, "uniform: cut_high is 1, must be high enough to leave something"},
		{
			"gumbel",
			map[string]float64{"mean": 0, "sigma": 1},
			"gumbel: given mean, sigma, must be one of: location, scale | mean, sd | mean, cov | pNN, pNN (and cuts)",
		},
		{"fixed", map[string]float64{}, "fixed: given , must be one of: value (and cuts)"},
		{
			"normal",
			map[string]float64{"mean": 0, "sd": 1, "p95": 2},
			"normal: given mean, p95, sd, must be one of: mean, sd | mean, cov | mean, pNN | pNN, pNN | nominal, plus, minus, coverage | nominal, plus, minus, cp | nominal, plus, minus, cpk (and cuts)",
		},
	} {
		d, err := FromSpec(Spec{c.shape, c.values})
		assert.EqualError(t, err, c.text)
		assert.Nil(t, d)
	}
	_, err := FromSpec(Spec{"normle", nil})
	assert.ErrorContains(t, err, `unknown shape "normle", must be one of fixed, normal, lognormal, `)
	assert.Nil(t, ShapeKeys("normle"))
}

func TestCutKeys(t *testing.T) {
	normal := map[string]float64{"mean": 0, "sd": 1}
	with := func(more map[string]float64) map[string]float64 {
		values := maps.Clone(normal)
		maps.Copy(values, more)
		return values
	}
	want, err := NewTruncated(Normal{0, 1}, -1, 2)
	require.NoError(t, err)
	for _, cuts := range []map[string]float64{{"low": -1, "high": 2}, {"cut_low": -1, "cut_high": 2}, {"low": -1, "cut_high": 2}} {
		assert.Equal(t, want, fromSpec(t, "normal", with(cuts)))
	}
	assert.Equal(t, map[string]float64{"mean": 0, "sd": 1}, normal, "argument modified")

	upper := fromSpec(t, "normal", with(map[string]float64{"high": 2}))
	low, high := upper.Support()
	assert.Equal(t, []float64{math.Inf(-1), 2}, []float64{low, high})

	// low and high are the shape's own limits here
	assert.Equal(t, Uniform{1, 3}, fromSpec(t, "uniform", map[string]float64{"low": 1, "high": 3}))
	cutUniform := fromSpec(t, "uniform", map[string]float64{"low": 1, "high": 3, "cut_low": 2})
	assert.InEpsilon(t, 2.5, cutUniform.Quantile(0.5), 1e-15)

	_, err = FromSpec(Spec{"normal", with(map[string]float64{"low": -1, "cut_low": -2})})
	assert.ErrorContains(t, err, "given cut_low, low, mean, sd", "two cuts at one end")
}

func TestPercentileKeys(t *testing.T) {
	for key, want := range map[string]float64{"p05": 0.05, "p5": 0.05, "p50": 0.5, "median": 0.5, "p99.9": 0.999, "p0.1": 0.001} {
		p, ok := keyProbability(key)
		assert.True(t, ok, key)
		assert.InEpsilon(t, want, p, 1e-15, key)
	}
	for _, key := range []string{"p0", "p100", "p", "plus", "95", "pNaN", "p-5", "pInf", ""} {
		_, ok := keyProbability(key)
		assert.False(t, ok, key)
	}
	for p, want := range map[float64]string{0.05: "p05", 0.5: "median", 0.999: "p99.9", 0.95: "p95", 0.025: "p02.5"} {
		assert.Equal(t, want, percentileKey(p))
	}
}

// The shapes as the study file would have them.
func TestTradeParametrisations(t *testing.T) {
	torque := fromSpec(t, "normal", map[string]float64{"nominal": 0.70, "plus": 0.10, "minus": 0.10, "coverage": 0.9973})
	assert.InEpsilon(t, 0.1/3, torque.StdDev(), 1e-4) // 0.9973 is 2.99998 sd
	offCentre := fromSpec(t, "normal", map[string]float64{"nominal": 9.80, "plus": 0.05, "minus": 0.01, "cp": 1})
	assert.InEpsilon(t, 9.82, offCentre.Mean(), 1e-15)
	assert.InEpsilon(t, 0.01, offCentre.StdDev(), 1e-14)
	assert.Equal(t, Trapezoidal{1, 2, 2, 5}, fromSpec(t, "triangular", map[string]float64{"nominal": 2, "plus": 3, "minus": 1}))
	crown := fromSpec(t, "half-normal", map[string]float64{"p95": 20e-6})
	assert.InEpsilon(t, 10.204269138493078162e-6, crown.(HalfNormal).scale, 1e-14) // mpmath 1.3.0
	planned := fromSpec(t, "beta", map[string]float64{"low": 0, "mode": 1, "high": 4})
	assert.InEpsilon(t, (0+4*1+4)/6.0, planned.Mean(), 1e-15) // the known mean (a + 4m + b)/6
	for _, degenerate := range []map[string]float64{{"low": 1, "mode": 1, "high": 2}, {"low": 1, "mode": 2, "high": 2}} {
		d := fromSpec(t, "triangular", degenerate)
		requireRoundTrip(t, "right-angled triangle", d, 1e-15)
		requireRoundTrip(t, "right-angled triangle", d, 0.4)
		assert.InEpsilon(t, 1/math.Sqrt(18), d.StdDev(), 1e-14)
	}
}
