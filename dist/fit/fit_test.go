package fit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"clampodds/dist"
	"clampodds/sim/result"
	_ "clampodds/testdata/roomyheap"
)

func TestReadingsThatAreRefused(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		data Data
		want string
	}{
		"two":              {Data{Values: []float64{1, 2}}, "readings: number of readings is 2, must be >= 3"},
		"equal":            {Data{Values: []float64{2, 2, 2}}, "readings: the largest reading is 2, must be > the smallest"},
		"no number":        {Data{Values: []float64{1, 2, nan}}, "readings: reading 3 is NaN, must be finite"},
		"infinite":         {Data{Values: []float64{1, math.Inf(1), 3}}, "readings: reading 2 is +Inf, must be finite"},
		"resolution":       {Data{Values: audit, Resolution: -1}, "readings: resolution is -1, must be >= 0"},
		"NaN resolution":   {Data{Values: audit, Resolution: nan}, "readings: resolution is NaN, must be >= 0"},
		"gauge":            {Data{Values: audit, GaugeSD: nan}, "readings: gauge sd is NaN, must be >= 0"},
		"gauge too coarse": {Data{Values: []float64{1, 2, 3}, GaugeSD: 1}, "readings: gauge sd is 1, must be below the standard deviation of the readings, 1"},
		"kept backwards":   {Data{Values: audit, Kept: Range{Low: 3, High: 2}}, "readings: upper end of the kept range is 2, must be > the lower end"},
		"outside kept":     {Data{Values: []float64{1, 2, 3}, Kept: Range{Low: 1.5, High: 4}}, "readings: reading 1 is 1, must be inside the kept range, 1.5 to 4"},
		"index":            {Data{Values: audit, Above: []int{12}}, "readings: index of a bound is 12, must be from 0 to 11"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := NewSample(c.data)
			assert.EqualError(t, err, c.want)
		})
	}
}

func TestFitsThatAreRefused(t *testing.T) {
	options := Options{Level: 0.95}
	for name, c := range map[string]struct {
		data    Data
		family  Family
		options Options
		want    string
	}{
		"level":          {Data{Values: audit}, Normal, Options{}, "readings: level is 0, must be between 0 and 1"},
		"unknown":        {Data{Values: audit}, "cauchy", options, `unknown family "cauchy", must be one of [normal lognormal weibull gamma gumbel half-normal rayleigh beta uniform]`},
		"negative":       {Data{Values: []float64{-1, 2, 3}}, Lognormal, options, "lognormal: a reading is -1, must be between 0 and +Inf; at an end, declare the resolution or a bound"},
		"zero":           {Data{Values: []float64{0, 2, 3}}, Weibull, options, "weibull: a reading is 0, must be between 0 and +Inf; at an end, declare the resolution or a bound"},
		"bound below 0":  {Data{Values: []float64{-1, 2, 3}, Below: []int{0}}, Gamma, options, "gamma: a reading is -1, must be between 0 and +Inf; at an end, declare the resolution or a bound"},
		"no beta limits": {Data{Values: audit}, Beta, options, "beta: the limits are 0 and 0, must be finite and rising"},
		"outside them":   {Data{Values: audit, BetaLimits: Range{Low: 2, High: 2.5}}, Beta, options, "beta: a reading is 2.58, must be between 2 and 2.5; at an end, declare the resolution or a bound"},
		"uniform":        {Data{Values: audit, Resolution: 0.01}, Uniform, options, "uniform: only complete readings, without a resolution, bounds, a gauge error or a kept range, are fitted"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := sample(t, c.data).Fit(c.family, c.options)
			assert.EqualError(t, err, c.want)
		})
	}
}

// A zero is fine for a rounded reading, whatever the family.
func TestRoundedZeroIsFitted(t *testing.T) {
	d := Data{Values: []float64{0, 0.1, 0.1, 0.2, 0.1, 0.3, 0.2, 0.1, 0.4, 0.2}, Resolution: 0.1}
	for _, family := range []Family{Lognormal, Weibull, Gamma, HalfNormal, Rayleigh} {
		f := fitted(t, d, family)
		assert.InDelta(t, 0.17, f.Distribution().Mean(), 0.03, family) // the mean of the readings, within a standard error
	}
}

// Parameters move with the unit of the readings, whatever their order.
func TestFitFollowsTheUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		factor := math.Pow(10, rapid.Float64Range(-9, 9).Draw(t, "power"))
		family := rapid.SampledFrom(Families()).Draw(t, "family")
		values := rapid.Permutation(bearings).Draw(t, "order")
		scaled := make([]float64, len(values))
		for i, x := range values {
			scaled[i] = factor * x
		}
		one, err := NewSample(Data{Values: bearings, BetaLimits: Range{Low: 0, High: 300}})
		require.NoError(t, err)
		other, err := NewSample(Data{Values: scaled, BetaLimits: Range{Low: 0, High: factor * 300}})
		require.NoError(t, err)
		a, err := one.Fit(family, Options{Level: 0.9})
		require.NoError(t, err)
		b, err := other.Fit(family, Options{Level: 0.9})
		require.NoError(t, err)
		for i, p := range a.Parameters {
			unit := factor
			if kind := entryValue(p.Key, 0).Kind; kind == Number {
				unit = 1
			}
			// Each search stops within 1e-7 of a standard error.
			q := b.Parameters[i]
			assert.InDelta(t, p.Value*unit, q.Value, 3e-7*p.SE*unit, p.Key)
			assert.InEpsilon(t, p.SE*unit, q.SE, 1e-5, p.Key)
			assert.InDelta(t, p.Interval.Low*unit, q.Interval.Low, 1e-5*p.SE*unit, p.Key)
		}
		assert.InDelta(t, a.LogLikelihood, b.LogLikelihood+23*math.Log(factor), 1e-9*23*20)
	})
}

// Taking nearly equal readings together does not move a fit of very many.
func TestVeryManyReadings(t *testing.T) {
	truth := mustDist(t, "gamma", map[string]float64{"shape": 0.7, "scale": 2})
	random := rand.New(rand.NewPCG(11, 12))
	values := draw(truth, 100_001, random)
	many := sample(t, Data{Values: values})
	assert.Less(t, len(many.exact), 30_000)
	all := &Sample{n: many.n, mean: many.mean, sd: many.sd}
	slices.Sort(values)
	for _, x := range values {
		all.exact = append(all.exact, point{x, 1})
	}
	for _, family := range []Family{Gamma} {
		a, err := many.Fit(family, Options{Level: 0.95})
		require.NoError(t, err)
		b, err := all.Fit(family, Options{Level: 0.95})
		require.NoError(t, err)
		for i, p := range a.Parameters {
			// joined readings are off by at most 1/1000, and that in both directions
			assert.InDelta(t, b.Parameters[i].Value, p.Value, 1e-3*p.SE, "%s %s", family, p.Key)
			assert.InEpsilon(t, b.Parameters[i].SE, p.SE, 1e-4)
		}
		assert.InDelta(t, b.LogLikelihood, a.LogLikelihood, 0.05)
	}
	values = draw(mustDist(t, "normal", map[string]float64{"mean": 0, "sd": 1}), 100_001, random)
	f := fitted(t, Data{Values: values}, Gumbel)
	assert.Less(t, len(f.sample.exact), 10_000)
	// joining within 1/1000 takes 1e-6/12 of the variance
	sd := 0.0
	for _, p := range f.sample.exact {
		sd += p.count * (p.x - f.sample.mean) * (p.x - f.sample.mean)
	}
	assert.InEpsilon(t, f.sample.sd, math.Sqrt(sd/(f.sample.n-1)), 1e-7)
}

// The parabola that stands for the likelihood of many readings joins the grid.
func TestManyReadingsJoinFewer(t *testing.T) {
	truth := mustDist(t, "weibull", map[string]float64{"shape": 2, "scale": 80})
	values := draw(truth, 1000, rand.New(rand.NewPCG(13, 14)))
	s := sample(t, Data{Values: values})
	best, err := s.maximum(Weibull)
	require.NoError(t, err)
	m := best.model
	for i := range m.parameters {
		grid, parabola := best.posterior(1000, 0).interval(m, i, 0.95), best.posterior(1001, 0).interval(m, i, 0.95)
		width := grid.High - grid.Low
		// the skewness of the likelihood, about 1/sqrt(n) of the width
		assert.InDelta(t, grid.Low, parabola.Low, 0.03*width)
		assert.InDelta(t, grid.High, parabola.High, 0.03*width)
	}
}

// With complete normal and lognormal readings the grid is the textbook.
func TestGridGivesTheTextbook(t *testing.T) {
	for n, tolerance := range map[int]float64{4: 2e-2, 12: 2e-3} {
		values := audit[:n]
		s := sample(t, Data{Values: values})
		best, err := s.maximum(Normal)
		require.NoError(t, err)
		m := best.model
		grid := &gridUncertainty{model: m, posterior: best.posterior(s.n, 0), centre: s.mean}
		exact, err := student(s.n, s.mean, s.sd)
		require.NoError(t, err)
		d, err := grid.predictive()
		require.NoError(t, err)
		for _, z := range []float64{-7, -5, -3, -1, 0, 0.5, 2, 6} {
			x := dist.FromNormalScore(exact, z)
			if tail := math.Min(exact.CDF(x), exact.Survival(x)); tail > 1e-10 { // nodes below 1e-16 are left out
				assert.InEpsilon(t, exact.CDF(x), d.CDF(x), 1e-5, "n = %d, z = %g", n, z)
				assert.InEpsilon(t, exact.Survival(x), d.Survival(x), 1e-5, "n = %d, z = %g", n, z)
			}
		}
		ofMean, ofSD := normalIntervals(s.n, s.mean, s.sd, 0.95)
		for i, want := range []Range{ofMean, ofSD} {
			got := grid.posterior.interval(m, i, 0.95)
			width := want.High - want.Low
			assert.InDelta(t, want.Low, got.Low, tolerance*width)
			assert.InDelta(t, want.High, got.High, tolerance*width)
		}
	}
}

// The prediction for few readings is a proper distribution, wider than the fit.
func TestPredictiveIsADistribution(t *testing.T) {
	for _, c := range []struct {
		family Family
		data   Data
	}{
		{Normal, Data{Values: audit}},
		{Lognormal, Data{Values: bearings}},
		{Weibull, Data{Values: bearings}},
		{Gamma, Data{Values: bearings}},
		{Gumbel, Data{Values: bearings}},
		{HalfNormal, Data{Values: bearings}},
		{Rayleigh, Data{Values: bearings}},
		{Beta, Data{Values: bearings, BetaLimits: Range{Low: 10, High: 300}}},
		{Uniform, Data{Values: bearings}},
		{Normal, Data{Values: audit, Kept: Range{Low: 2.2, High: 2.9}}},
		{Weibull, Data{Values: bearings, Kept: Range{Low: 0, High: 400}}},
		{Gumbel, Data{Values: bearings, Kept: Range{Low: -100, High: math.Inf(1)}}},
		{Normal, Data{Values: audit, Kept: Range{Low: math.Inf(-1), High: 2.7}}},
		{Lognormal, Data{Values: bearings, GaugeSD: 5}},
	} {
		name := string(c.family)
		f := fitted(t, c.data, c.family)
		d, err := f.Predictive()
		require.NoError(t, err, name)
		low, high := d.Support()
		assert.Equal(t, low, d.Quantile(0), name)
		assert.Equal(t, high, d.UpperQuantile(0), name)
		before := low
		for _, z := range []float64{-6, -4, -2, -1, 0, 1, 2, 4, 6} {
			x := dist.FromNormalScore(d, z)
			assert.GreaterOrEqual(t, x, before, name)
			before = x
			if p := dist.NormalCDF(-math.Abs(z)); z < 0 { // a table right to 1e-5 of a score
				assert.InEpsilon(t, p, d.CDF(x), 1e-4, "%s, z = %g", name, z)
			} else if x < high {
				assert.InEpsilon(t, p, d.Survival(x), 1e-4, "%s, z = %g", name, z)
			}
			if x > low && x < high {
				step := 1e-4 * d.StdDev() * math.Min(1, math.Abs(x-low)/d.StdDev())
				if !math.IsInf(step, 0) && z > -3 && z < 3 {
					slope := (d.CDF(x+step) - d.CDF(x-step)) / (2 * step)
					assert.InEpsilon(t, slope, math.Exp(d.LogDensity(x)), 1e-3, "%s, density at z = %g", name, z)
				}
			}
		}
		assert.True(t, math.IsNaN(d.Quantile(-0.1)) && math.IsNaN(d.UpperQuantile(1.1)), name)
		if !given(c.data.Kept) {
			assert.Greater(t, d.StdDev(), f.Distribution().StdDev(), name)
		}
		e, err := f.Exceedance(f.Distribution().UpperQuantile(0.01), true, 0.95)
		require.NoError(t, err)
		assert.InEpsilon(t, 0.01, e.PlugIn, 1e-6, name)
		assert.Greater(t, e.Upper, e.PlugIn, name)
		assert.InEpsilon(t, d.Survival(e.Limit), e.Predictive, 1e-12, name)
	}
}

// Twelve readings and twelve hundred of the same mean and spread do not say the
// same about a limit.
func TestFewReadingsSayLess(t *testing.T) {
	normal := mustDist(t, "normal", map[string]float64{"mean": 0, "sd": 1})
	described := describe(t, audit)
	statement := map[int]Exceedance{}
	for _, n := range []int{12, 1200} {
		var values []float64
		for i := range n {
			values = append(values, normal.Quantile((float64(i)+0.5)/float64(n)))
		}
		mean, sd := stat.MeanStdDev(values, nil)
		for i := range values {
			values[i] = described.Mean + (values[i]-mean)*described.StdDev/sd
		}
		e, err := fitted(t, Data{Values: values}, Normal).Exceedance(2.25, false, 0.95)
		require.NoError(t, err)
		statement[n] = e
	}
	few, many := statement[12], statement[1200]
	assert.InEpsilon(t, few.PlugIn, many.PlugIn, 1e-9, "the same curve")
	// Student's t with 11 and 1199 degrees of freedom at the same limit, R 4.2.2
	// for the first; the second is within a twentieth of the curve's digits.
	assert.InEpsilon(t, 2.992342e-4, few.Predictive, 1e-6)
	assert.InEpsilon(t, 9.047588e-4, few.Upper, 2e-3)
	assert.Greater(t, few.Predictive, 500*many.Predictive)
	assert.Less(t, many.Predictive, 1.2*many.PlugIn)
	assert.Less(t, many.Upper, 3*many.PlugIn)
	assert.Greater(t, few.Upper, 1000*many.Upper)
}

func TestExceedanceArguments(t *testing.T) {
	f := fitted(t, Data{Values: audit}, Normal)
	_, err := f.Exceedance(math.NaN(), true, 0.95)
	require.EqualError(t, err, "readings: limit is NaN, must be a number")
	_, err = f.Exceedance(2, true, 1)
	require.EqualError(t, err, "readings: level is 1, must be between 0 and 1")
	above, err := f.Exceedance(math.Inf(1), true, 0.95)
	require.NoError(t, err)
	assert.Zero(t, above.PlugIn)
	assert.Less(t, above.Upper, 1e-200)
}

// The gauge's error is taken out of the spread.
func TestGaugeErrorIsRemoved(t *testing.T) {
	random := rand.New(rand.NewPCG(15, 16))
	truth := mustDist(t, "lognormal", map[string]float64{"median": 1, "sigma_ln": 0.4})
	values := draw(truth, 4000, random)
	for i := range values {
		values[i] += 0.3 * random.NormFloat64()
	}
	f := fitted(t, Data{Values: values, GaugeSD: 0.3}, Lognormal)
	for i, want := range []float64{1, 0.4} { // 4 standard errors: false alarm 6e-5
		assert.InDelta(t, want, f.Parameters[i].Value, 4*f.Parameters[i].SE)
	}
	normal := fitted(t, Data{Values: audit, GaugeSD: 0.03}, Normal)
	_, sd := stat.MeanStdDev(audit, nil)
	want := math.Sqrt(sd*sd*11/12 - 0.03*0.03) // the maximum divides by n
	assert.InEpsilon(t, want, normal.Parameters[1].Value, 1e-8)
	assert.InDelta(t, 0.577350269, LimitError(1), 1e-9)
}

func TestWarningsOfAFit(t *testing.T) {
	codes := func(w []Warning) []result.WarningCode {
		var c []result.WarningCode
		for _, x := range w {
			c = append(c, x.Code)
			assert.NotEmpty(t, x.Text)
		}
		return c
	}
	assert.Equal(t, []result.WarningCode{FewReadings}, codes(fitted(t, Data{Values: audit}, Normal).Warnings))
	assert.Equal(t, []result.WarningCode{FewReadings, GaugeDominates, FitNotTested}, codes(fitted(t, Data{Values: audit, GaugeSD: 0.04}, Normal).Warnings))
	assert.Empty(t, codes(fitted(t, Data{Values: bearings}, Lognormal).Warnings))
	bounds := fitted(t, Data{Values: bearings, Below: []int{0}}, Weibull)
	assert.Equal(t, []result.WarningCode{FitNotTested}, codes(bounds.Warnings))
	assert.Contains(t, bounds.Warnings[0].Text, "only bounds")
	skewed := draw(mustDist(t, "lognormal", map[string]float64{"median": 1, "sigma_ln": 1}), 60, rand.New(rand.NewPCG(1, 1)))
	assert.Equal(t, []result.WarningCode{Rejected}, codes(fitted(t, Data{Values: skewed}, Normal).Warnings))
	d := describe(t, []float64{1, 1, 2, 1, 2, 2, 1, 3, 2, 1})
	assert.Equal(t, []result.WarningCode{CoarseResolution}, codes(d.Warnings))
	assert.Equal(t, 3, d.Distinct)
	assert.Equal(t, 1.0, d.Step)
	assert.Empty(t, describe(t, bearings).Warnings)
}

func TestCompareRanks(t *testing.T) {
	c, err := sample(t, Data{Values: bearings}).Compare(Families(), Options{Level: 0.95, Replicates: 199, Seed: 1})
	require.NoError(t, err)
	var order []Family
	for _, f := range c.Fits {
		order = append(order, f.Family)
	}
	// AICc rises from Rayleigh (one parameter) on; the last two are rejected.
	assert.Equal(t, []Family{Rayleigh, Gamma, Lognormal, Gumbel, Weibull, Normal, Uniform, HalfNormal}, order)
	assert.Less(t, c.Fits[6].AndersonDarling.P, 0.05)
	assert.Len(t, c.Refused, 1)
	assert.Equal(t, Beta, c.Refused[0].Family)
	assert.Equal(t, result.Warning{Code: NotDistinguishable, Text: "about as likely as rayleigh (AICc within 2): gamma, lognormal, gumbel"}, c.Fits[0].Warnings[0])
	_, err = sample(t, Data{Values: bearings}).Compare(nil, Options{})
	assert.Error(t, err)
	rejected := &Fit{AICc: 1, AndersonDarling: AndersonDarling{P: 0.01}}
	untested := &Fit{AICc: 2, AndersonDarling: AndersonDarling{P: math.NaN()}}
	assert.Positive(t, better(rejected, untested), "the test has a veto")
}

// The bootstrap repeats with its seed, and treats its samples as the readings
// were treated.
func TestBootstrap(t *testing.T) {
	s := sample(t, Data{Values: bearings, Kept: Range{Low: 10, High: 400}, GaugeSD: 1, Resolution: 0.5})
	options := Options{Level: 0.95, Replicates: 19, Seed: 7}
	a, err := s.Fit(Weibull, options)
	require.NoError(t, err)
	b, err := s.Fit(Weibull, options)
	require.NoError(t, err)
	assert.Equal(t, a.AndersonDarling, b.AndersonDarling)
	assert.Equal(t, "parametric bootstrap", a.AndersonDarling.Method)
	assert.Greater(t, a.AndersonDarling.P, 0.2)
	options.Seed = 8
	c, err := s.Fit(Weibull, options)
	require.NoError(t, err)
	assert.NotEqual(t, a.AndersonDarling.P, c.AndersonDarling.P)
	half, err := sample(t, Data{Values: bearings}).Fit(HalfNormal, Options{Level: 0.95, Replicates: 199, Seed: 1})
	require.NoError(t, err)
	assert.Less(t, half.AndersonDarling.P, 0.05)
}

// Between cuts that leave a flat likelihood the scale of a half-normal is open: it was searched for without end.
func TestOpenScaleBetweenCuts(t *testing.T) {
	values := []float64{0.694, 0.711, 0.703, 0.693, 0.680, 0.703, 0.724, 0.709, 0.731, 0.705, 0.698, 0.688, 0.715}
	for _, family := range []Family{HalfNormal, Rayleigh} {
		f := fitted(t, Data{Values: values, Kept: Range{Low: 0.67, High: 0.74}}, family)
		assert.Equal(t, wholeLine, f.Parameters[0].Interval)
		e, err := f.Exceedance(0.73, true, 0.95)
		require.NoError(t, err)
		assert.True(t, math.IsNaN(e.Predictive))
		assert.Equal(t, 1.0, e.Upper)
		e, err = f.Exceedance(0.75, true, 0.95)
		require.NoError(t, err)
		assert.Zero(t, e.Upper, "inspection leaves none")
	}
}

// Very few normal readings keep an infinite interval out of the statement only
// if they bound the parameters.
func TestReadingsThatDoNotBoundTheParameters(t *testing.T) {
	// Readings as good as uniform between the cuts: any wide curve would do.
	var values []float64
	for i := range 12 {
		values = append(values, 2.4+0.2*(float64(i)+0.5)/12)
	}
	s := sample(t, Data{Values: values, Kept: Range{Low: 2.4, High: 2.6}})
	f, err := s.Fit(Normal, Options{Level: 0.95})
	if err != nil { // no maximum: as good an answer
		assert.ErrorContains(t, err, "no maximum")
		return
	}
	assert.Equal(t, Unbounded, f.Warnings[0].Code)
	assert.Equal(t, Range{Low: math.Inf(-1), High: math.Inf(1)}, f.Parameters[1].Interval)
	e, err := f.Exceedance(2.59, true, 0.95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(e.Predictive))
	assert.Equal(t, 1.0, e.Upper)
	_, err = f.Predictive()
	assert.Error(t, err)
}

// Joining readings that are nearly equal leaves the statistic right to 0.001, where
// the steps of the likelihood would add 0.04 n 1e-6 = 0.008 to it.
func TestStatisticOfVeryManyReadings(t *testing.T) {
	const n = 200_000
	normal := mustDist(t, "normal", map[string]float64{"mean": 0.7, "sd": 0.02})
	values := draw(normal, n, rand.New(rand.NewPCG(11, 12)))
	f := fitted(t, Data{Values: values}, Normal)
	require.Less(t, len(f.sample.exact), n/10)
	sorted := slices.Sorted(slices.Values(values))
	mean, sd := stat.MeanStdDev(sorted, nil)
	sum := 0.0
	for i, x := range sorted {
		z, opposite := (x-mean)/sd, (sorted[n-1-i]-mean)/sd
		sum += float64(2*i+1) * (math.Log(dist.NormalCDF(z)) + math.Log(dist.NormalSurvival(opposite)))
	}
	assert.InDelta(t, -n-sum/n, f.AndersonDarling.A2, 1e-3)
}
