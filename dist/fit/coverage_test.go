package fit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

// atLeast asserts that a share of repetitions is not below its nominal value by
// more than 3 standard errors; a right one fails once in 740 times. The seeds
// are fixed.
func atLeast(t *testing.T, nominal float64, hits, repetitions int, what string) {
	t.Helper()
	n := float64(repetitions)
	assert.GreaterOrEqual(t, float64(hits)/n, nominal-3*math.Sqrt(nominal*(1-nominal)/n), what)
}

// near asserts that a share is its nominal value within 3 standard errors: false
// alarm 0.0027.
func near(t *testing.T, nominal float64, hits, repetitions int, what string) {
	t.Helper()
	n := float64(repetitions)
	assert.InDelta(t, nominal, float64(hits)/n, 3*math.Sqrt(nominal*(1-nominal)/n), what)
}

// Intervals of parameters, bounds of a tail probability and predictions keep
// their promise for samples of 12.
func TestCoverageOfFits(t *testing.T) {
	if testing.Short() {
		t.Skip("repeats fits")
	}
	for _, c := range []struct {
		family Family
		values map[string]float64
		limits Range
		exact  bool // the coverage is exact in theory
	}{
		{Normal, map[string]float64{"mean": 2.5, "sd": 0.05}, Range{}, true},
		{Lognormal, map[string]float64{"median": 0.14, "sigma_ln": 0.3}, Range{}, true},
		{Weibull, map[string]float64{"shape": 2.1, "scale": 80}, Range{}, true},
		{Gumbel, map[string]float64{"location": 55, "scale": 28}, Range{}, true},
		{HalfNormal, map[string]float64{"scale": 2e-5}, Range{}, true},
		{Rayleigh, map[string]float64{"scale": 2e-5}, Range{}, true},
		{Uniform, map[string]float64{"low": 1, "high": 3}, Range{}, true},
		{Gamma, map[string]float64{"shape": 4, "scale": 18}, Range{}, false},
		{Beta, map[string]float64{"alpha": 3, "beta": 5, "low": 1, "high": 3}, Range{Low: 1, High: 3}, false},
	} {
		t.Run(string(c.family), func(t *testing.T) {
			t.Parallel()
			truth := mustDist(t, string(c.family), c.values)
			random := rand.New(rand.NewPCG(1, 2))
			limit := truth.UpperQuantile(0.02)
			covered := map[string]int{}
			bounded, low, high := 0, 0, 0
			for range repetitions {
				f := fitted(t, Data{Values: draw(truth, 12, random), BetaLimits: c.limits}, c.family)
				for _, p := range f.Parameters {
					if p.Interval.Low <= c.values[p.Key] && c.values[p.Key] <= p.Interval.High {
						covered[p.Key]++
					}
				}
				if f.uncertain.upper(limit, true, 0.95) >= 0.02 {
					bounded++
				}
				switch next := f.uncertain.beyond(draw(truth, 1, random)[0], true); {
				case next < 0.1:
					low++
				case next > 0.9:
					high++
				}
			}
			check := atLeast
			if c.exact {
				check = near
			}
			for key, hits := range covered {
				check(t, 0.95, hits, repetitions, "interval of "+key)
			}
			check(t, 0.95, bounded, repetitions, "bound of the exceedance")
			near(t, 0.1, low, repetitions, "next reading above its predicted upper tenth")
			near(t, 0.1, high, repetitions, "next reading below its predicted lower tenth")
			t.Log(covered, bounded, low, high)
		})
	}
}

// Readings that are rounded, cut by inspection, partly below what the gauge
// shows, or blurred by the gauge.
func TestCoverageOfIncompleteReadings(t *testing.T) {
	if testing.Short() {
		t.Skip("repeats fits")
	}
	truth := mustDist(t, "normal", map[string]float64{"mean": 10, "sd": 1})
	for name, c := range map[string]struct {
		n       int
		measure func(x float64, random *rand.Rand) (reading float64, below, kept bool)
		data    Data
	}{
		"rounded": {15, func(x float64, _ *rand.Rand) (float64, bool, bool) { return math.Round(2*x) / 2, false, true }, Data{Resolution: 0.5}},
		"below":   {20, func(x float64, _ *rand.Rand) (float64, bool, bool) { return math.Max(x, 9.5), x < 9.5, true }, Data{}},
		"gauge":   {20, func(x float64, r *rand.Rand) (float64, bool, bool) { return x + 0.5*r.NormFloat64(), false, true }, Data{GaugeSD: 0.5}},
		"cut":     {60, func(x float64, _ *rand.Rand) (float64, bool, bool) { return x, false, x > 8 && x < 13 }, Data{Kept: Range{Low: 8, High: 13}}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			random := rand.New(rand.NewPCG(3, 4))
			covered := [2]int{}
			for range repetitions {
				d := c.data
				for len(d.Values) < c.n {
					x, below, kept := c.measure(draw(truth, 1, random)[0], random)
					if !kept {
						continue
					}
					if below {
						d.Below = append(d.Below, len(d.Values))
					}
					d.Values = append(d.Values, x)
				}
				f := fitted(t, d, Normal)
				for i, want := range []float64{10, 1} {
					if in := f.Parameters[i].Interval; in.Low <= want && want <= in.High {
						covered[i]++
					}
				}
			}
			for i, hits := range covered {
				atLeast(t, 0.95, hits, repetitions, []string{"mean", "sd"}[i])
			}
			t.Log(covered)
		})
	}
}

func TestCoverageOfCapability(t *testing.T) {
	t.Parallel()
	truth, err := dist.NewNormal(10, 1)
	require.NoError(t, err)
	limits := Range{Low: 5, High: 14} // Cp 1.5, Cpk 4/3
	for _, subgroups := range []bool{false, true} {
		random := rand.New(rand.NewPCG(5, 6))
		var cp, cpk, lower, pp, ppk int
		for range repetitions {
			values := draw(truth, 40, random)
			var lots *Lots
			if subgroups {
				l, err := NewLots(slices.Collect(slices.Chunk(values, 5)), 0.95)
				require.NoError(t, err)
				lots = &l
			}
			c, err := sample(t, Data{Values: values}).Capability(lots, limits, Options{Level: 0.95})
			require.NoError(t, err)
			for _, check := range []struct {
				index Index
				truth float64
				hits  *int
			}{{c.Cp, 1.5, &cp}, {c.Cpk, 4. / 3, &cpk}, {c.Pp, 1.5, &pp}, {c.Ppk, 4. / 3, &ppk}} {
				if check.index.Interval.Low <= check.truth && check.truth <= check.index.Interval.High {
					*check.hits++
				}
			}
			if c.Cpk.Lower <= 4./3 {
				lower++
			}
		}
		for what, hits := range map[string]int{"Cp": cp, "Cpk": cpk, "Pp": pp, "Ppk": ppk, "Cpk, one-sided": lower} {
			atLeast(t, 0.95, hits, repetitions, what)
		}
		t.Log(cp, cpk, pp, ppk, lower)
	}
}

// The spread within lots and the correlation have exact intervals, the
// prediction for a new lot an approximate one.
func TestCoverageOfLots(t *testing.T) {
	if testing.Short() {
		t.Skip("repeats")
	}
	t.Parallel()
	random := rand.New(rand.NewPCG(7, 8))
	var within, correlation, next int
	for range repetitions {
		groups := make([][]float64, 6)
		for i := range groups {
			lot := 0.03 * random.NormFloat64()
			for range 4 {
				groups[i] = append(groups[i], lot+0.02*random.NormFloat64())
			}
		}
		l, err := NewLots(groups, 0.95)
		require.NoError(t, err)
		if l.WithinInterval.Low <= 0.02 && 0.02 <= l.WithinInterval.High {
			within++
		}
		if rho := 9. / 13; l.CorrelationInterval.Low <= rho && rho <= l.CorrelationInterval.High {
			correlation++
		}
		d, err := l.Predictive()
		require.NoError(t, err)
		if p := d.CDF(math.Hypot(0.03, 0.02) * random.NormFloat64()); p > 0.05 && p < 0.95 {
			next++
		}
	}
	near(t, 0.95, within, repetitions, "within")
	near(t, 0.95, correlation, repetitions, "correlation")
	near(t, 0.90, next, repetitions, "unit of a new lot")
	t.Log(within, correlation, next)
}

// Tests reject a true family as often as they say.
func TestFalseAlarms(t *testing.T) {
	if testing.Short() {
		t.Skip("repeats")
	}
	t.Parallel()
	truth := mustDist(t, "weibull", map[string]float64{"shape": 2, "scale": 1})
	normal := mustDist(t, "normal", map[string]float64{"mean": 0, "sd": 1})
	uniform := mustDist(t, "uniform", map[string]float64{"low": 1, "high": 2})
	random := rand.New(rand.NewPCG(9, 10))
	var weibulls, normals, uniforms, rayleighs int
	for range repetitions {
		reject := func(d dist.Distribution, f Family, n int) int {
			s := sample(t, Data{Values: draw(d, n, random)})
			best, err := s.maximum(f)
			require.NoError(t, err)
			m := best.model
			a := extremeValueTest(AndersonDarling{A2: s.anderson(m.density(m.natural(best.working(best.best))))}, s.n)
			if a.P < 0.05 {
				return 1
			}
			return 0
		}
		weibulls += reject(truth, Weibull, 20)
		values := draw(normal, 20, random)
		if fitted(t, Data{Values: values}, Normal).AndersonDarling.P < 0.05 {
			normals++
		}
		if fitted(t, Data{Values: draw(uniform, 20, random)}, Uniform).AndersonDarling.P < 0.05 {
			uniforms++
		}
	}
	for range repetitions / 10 {
		f, err := sample(t, Data{Values: draw(truth, 20, random)}).Fit(Rayleigh, Options{Level: 0.95, Replicates: 99, Seed: random.Uint64()})
		require.NoError(t, err)
		if f.AndersonDarling.P < 0.05 {
			rayleighs++
		}
	}
	near(t, 0.05, weibulls, repetitions, "weibull")
	near(t, 0.05, normals, repetitions, "normal")
	near(t, 0.05, uniforms, repetitions, "uniform")
	near(t, 0.05, rayleighs, repetitions/10, "bootstrap")
	t.Log(weibulls, normals, uniforms, rayleighs)
}
