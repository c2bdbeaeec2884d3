package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"clampodds/dist"
	"clampodds/sim/result"
)

func TestOutliersAreFlaggedNotDropped(t *testing.T) {
	values := append([]float64{9.9}, audit...)
	kept := append([]float64{9.9}, audit...)
	o := flagsOf(t, Data{Values: values}, Normal).Outliers
	assert.Equal(t, kept, values)
	assert.Equal(t, 1, o.Flagged)
	assert.Equal(t, 0, o.Steps[0].Index)
	assert.Equal(t, 9.9, o.Steps[0].Reading)
	f := fitted(t, Data{Values: values}, Normal)
	assert.Equal(t, 13, f.N)
	mean, _ := stat.MeanStdDev(values, nil)
	assert.InEpsilon(t, mean, f.Parameters[0].Value, 1e-12)
	// two on one side do not hide each other
	o = flagsOf(t, Data{Values: append([]float64{9.9, 9.8}, audit...)}, Normal).Outliers
	assert.Equal(t, 2, o.Flagged)
	for _, family := range []Family{Normal, Lognormal, Weibull, Gumbel, Gamma, HalfNormal} {
		o = flagsOf(t, Data{Values: audit}, family).Outliers
		assert.Zero(t, o.Flagged, family)
		assert.Empty(t, o.Reason)
	}
	o = flagsOf(t, Data{Values: []float64{1, 5, 5, 5, 5, 5.1}}, Normal).Outliers
	assert.Equal(t, 1, o.Most, "a fifth of six readings")
	assert.Len(t, o.Steps, 1)
	_, err := fitted(t, Data{Values: audit}, Normal).Flags(0, 1)
	assert.Error(t, err)
	_, err = NewSample(Data{Values: []float64{1, 2, 3, math.NaN()}})
	assert.Error(t, err)
}

// A half-normal reading near 0 is where most of them are; the same far out is no surprise
// under the normal family's limits of a skewed process.
func TestOutliersOfASkewedFamily(t *testing.T) {
	values := draw(mustDist(t, "half-normal", map[string]float64{"scale": 1}), 30, rand.New(rand.NewPCG(4, 9)))
	assert.Zero(t, flagsOf(t, Data{Values: append(values, 1e-9)}, HalfNormal).Outliers.Flagged)
	o := flagsOf(t, Data{Values: append(values, 6)}, HalfNormal).Outliers
	require.Equal(t, 1, o.Flagged)
	assert.Equal(t, 30, o.Steps[0].Index)
	chart := flagsOf(t, Data{Values: append(values, 6)}, HalfNormal).Chart
	assert.Equal(t, []int{30}, chart.Beyond)
	assert.True(t, math.IsInf(chart.Lower, -1), "no limit near 0")
}

// Nobody knows how far below 5 a reading "<5" is.
func TestBoundsHaveNoFlags(t *testing.T) {
	d := Data{Values: audit, Below: []int{0}}
	flags := flagsOf(t, d, Normal)
	assert.Contains(t, flags.Outliers.Reason, "only bounds")
	assert.Contains(t, flags.Chart.Reason, "only bounds")
	assert.Empty(t, flags.Outliers.Steps)
	_, err := sample(t, d).Capability(nil, Range{Low: 2, High: 3}, Options{Level: 0.95})
	assert.ErrorContains(t, err, "only bounds")
	described := describe(t, audit)
	assert.False(t, math.IsNaN(described.Mean))
	censored, err := sample(t, d).Describe(0.95)
	require.NoError(t, err)
	for _, x := range []float64{censored.Mean, censored.StdDev, censored.Skewness, censored.Median, censored.Autocorrelation} {
		assert.True(t, math.IsNaN(x))
	}
	assert.Equal(t, 1, censored.Bounds)
	assert.Equal(t, BoundsOnly, censored.Warnings[0].Code)
	assert.Contains(t, flagsOf(t, Data{Values: audit}, Uniform).Outliers.Reason, "outermost")
}

// The uniform family has no limits, and a jump shows in the runs all the same: all orders with ten readings below the median
// before ten above it are 2 of C(20,10), and as many are as extreme the other way (Wald and Wolfowitz 1940).
func TestRunsAreJudgedWithoutLimits(t *testing.T) {
	var jump, stable []float64
	for i := range 20 {
		x := float64(1 + i)
		jump = append(jump, x)
		stable = append(stable, float64(1+(7*i)%20))
	}
	c := flagsOf(t, Data{Values: jump}, Uniform).Chart
	assert.Equal(t, 2, c.Runs)
	assert.InEpsilon(t, 4/184756., c.PRuns, 1e-9) // rounding of logarithms
	assert.False(t, c.Stable)
	require.Len(t, c.Warnings, 1)
	assert.NotContains(t, c.Warnings[0].Text, "outside")
	assert.Equal(t, 0.05, c.RunsLevel, "there are no limits to share it with")
	c = flagsOf(t, Data{Values: stable}, Uniform).Chart
	assert.True(t, c.Stable)
	assert.Empty(t, c.Warnings)
}

func TestRunChart(t *testing.T) {
	normal, err := dist.NewNormal(10, 1)
	require.NoError(t, err)
	values := draw(normal, 60, rand.New(rand.NewPCG(1, 9)))
	chart := func(values []float64) RunChart { return flagsOf(t, Data{Values: values}, Normal).Chart }
	c := chart(values)
	assert.True(t, c.Stable)
	assert.Greater(t, c.PBeyond, c.BeyondLevel)
	assert.Empty(t, c.Warnings)
	assert.InEpsilon(t, 1, c.Sigma, 0.4) // 0.11 is its standard error
	mean, sd := stat.MeanStdDev(values, nil)
	assert.InEpsilon(t, mean+rosner(60, 1, c.BeyondLevel)*sd, c.Upper, 1e-12, "Grubbs' critical value")
	_, size := runs{c.Runs, 30, 30}.test(c.RunsLevel)
	assert.InEpsilon(t, 0.95, (1-size)*(1-c.BeyondLevel), 1e-12, "the two rates make the one stated")

	drifting := append([]float64(nil), values...)
	for i := range drifting {
		drifting[i] += 0.1 * float64(i)
	}
	c = chart(drifting)
	assert.False(t, c.Stable)
	assert.Less(t, c.RunsZ, -3.5)
	assert.Equal(t, NotStable, c.Warnings[0].Code)

	values[20], values[40] = 25, -5
	c = chart(values)
	assert.Equal(t, []int{20, 40}, c.Beyond)
	assert.False(t, c.Stable)

	saw := chart([]float64{1, 2, 1, 2, 1, 2, 1, 2, 1, 2, 1, 2, 1, 2, 1, 2, 1, 2, 1, 2})
	assert.Equal(t, 20, saw.Runs)
	assert.Greater(t, saw.RunsZ, 4.0)
	assert.Equal(t, runs{4, 2, 2}, countRuns([]float64{2, 1, 2, 2, 3, 2, 1, 3}, 2), "readings equal to the median have no side")
	_, err = NewSample(Data{Values: []float64{1, 1, 1}})
	assert.Error(t, err)
}

// The probabilities of all numbers of runs add up, and their mean and variance are those
// of the textbook.
func TestDistributionOfRuns(t *testing.T) {
	for _, r := range []runs{{3, 1, 4}, {2, 3, 3}, {9, 12, 7}, {50, 60, 45}} {
		sum, mean, square := 0.0, 0.0, 0.0
		for i, p := range r.distribution() {
			x := float64(i)
			sum, mean, square = sum+p, mean+x*p, square+x*x*p
		}
		expected, z := r.score()
		assert.InDelta(t, 1, sum, 1e-11)
		assert.InDelta(t, expected, mean, 1e-9)
		if z != 0 {
			assert.InEpsilon(t, (float64(r.count)-mean)/math.Sqrt(square-mean*mean), z, 1e-8)
		}
	}
	p, size := runs{1, 4, 0}.test(0.05)
	assert.Equal(t, 1.0, p)
	assert.Zero(t, size)
}

func TestRoundingIsFound(t *testing.T) {
	assert.InEpsilon(t, 0.01, sample(t, Data{Values: audit}).step, 1e-9)
	assert.InEpsilon(t, 0.5, sample(t, Data{Values: []float64{0.25, 1.25, 2.75, 1.25}}).step, 1e-9)
	assert.Zero(t, sample(t, Data{Values: []float64{1, 1 + 1./3, 2, 2.7182818}}).step)
	assert.Equal(t, 0.1, sample(t, Data{Values: []float64{1, 2, 3}, Resolution: 0.1}).step)
	assert.Zero(t, sample(t, Data{Values: bearings}).step, "0.01 of a spread of 37")
	assert.InEpsilon(t, 0.02, sample(t, Data{Values: []float64{0.68, 0.7, 0.7, 0.72, 0.72, 0.7013, 0.7, 0.68}}).step, 1e-9, "one was read more finely")
}

func TestCapabilityOfAudit(t *testing.T) {
	c, err := sample(t, Data{Values: audit}).Capability(nil, Range{Low: 2.3, High: 2.7}, Options{Level: 0.95})
	require.NoError(t, err)
	assert.InEpsilon(t, 0.4/6/c.Overall, c.Pp.Estimate, 1e-12)
	assert.InEpsilon(t, (2.7-c.Mean)/3/c.Overall, c.Ppk.Estimate, 1e-12)
	assert.InEpsilon(t, 0.4/6/c.Within, c.Cp.Estimate, 1e-12)
	assert.Equal(t, []result.WarningCode{FewReadings}, []result.WarningCode{c.Warnings[0].Code})
	assert.Len(t, c.Warnings, 1)

	one, err := sample(t, Data{Values: audit}).Capability(nil, Range{Low: 2.3, High: math.Inf(1)}, Options{Level: 0.95})
	require.NoError(t, err)
	assert.True(t, math.IsNaN(one.Pp.Estimate) && math.IsNaN(one.Cp.Lower))
	assert.InEpsilon(t, (c.Mean-2.3)/3/c.Overall, one.Ppk.Estimate, 1e-12)

	// Lots of their own level: steady within, not overall.
	values := []float64{1.0, 1.1, 0.9, 1.05, 2.0, 2.1, 1.95, 2.05, 3.0, 3.05, 2.9, 3.1}
	lots, err := NewLots([][]float64{values[:4], values[4:8], values[8:]}, 0.95)
	require.NoError(t, err)
	c, err = sample(t, Data{Values: values}).Capability(&lots, Range{Low: 0, High: 2.95}, Options{Level: 0.95})
	require.NoError(t, err)
	assert.Greater(t, c.Cp.Estimate, 5*c.Pp.Estimate)
	assert.Equal(t, 9.0, c.WithinFreedom)
	var codes []result.WarningCode
	for _, w := range c.Warnings {
		codes = append(codes, w.Code)
	}
	assert.Contains(t, codes, OutsideLimits)
	assert.Equal(t, "3 of 12 readings outside the limits", c.Warnings[len(c.Warnings)-1].Text)
}

func TestCapabilityWarns(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 2))
	values := draw(mustDist(t, "lognormal", map[string]float64{"median": 1, "sigma_ln": 0.8}), 80, random)
	c, err := sample(t, Data{Values: values}).Capability(nil, Range{Low: 0, High: 20}, Options{Level: 0.95})
	require.NoError(t, err)
	var codes []result.WarningCode
	for _, w := range c.Warnings {
		codes = append(codes, w.Code)
	}
	assert.Contains(t, codes, NotNormal)
	for name, bad := range map[string]struct {
		limits Range
		level  float64
	}{
		"no limits":  {Range{Low: math.Inf(-1), High: math.Inf(1)}, 0.95},
		"backwards":  {Range{Low: 3, High: 2}, 0.95},
		"none given": {Range{}, 0.95},
		"NaN":        {Range{Low: math.NaN(), High: 2}, 0.95},
		"level":      {Range{Low: 2, High: 3}, 1},
	} {
		_, err := sample(t, Data{Values: audit}).Capability(nil, bad.limits, Options{Level: bad.level})
		assert.Error(t, err, name)
	}
}

// By percentiles a normal distribution has the indices of the formulas.
func TestPerformanceByPercentiles(t *testing.T) {
	d := mustDist(t, "normal", map[string]float64{"mean": 16, "sd": 2})
	pp, ppk := Performance(d, Range{Low: 8, High: 20})
	assert.InEpsilon(t, 1, pp.Estimate, 1e-12)
	assert.InEpsilon(t, 2./3, ppk.Estimate, 1e-12)
	pp, ppk = Performance(d, Range{Low: math.Inf(-1), High: 20})
	assert.True(t, math.IsNaN(pp.Estimate))
	assert.InEpsilon(t, 2./3, ppk.Estimate, 1e-12)
}

func TestLots(t *testing.T) {
	groups := [][]float64{{1, 1.1, 0.9, 1.05}, {2, 2.1, 1.95, 2.05}, {3, 3.05, 2.9, 3.1}}
	l, err := NewLots(groups, 0.95)
	require.NoError(t, err)
	assert.InEpsilon(t, 4, l.PerLot, 1e-15)
	assert.Greater(t, l.Correlation, 0.98)
	assert.Less(t, l.CorrelationInterval.Low, l.Correlation)
	assert.InEpsilon(t, l.Total*l.Total, l.Within*l.Within+l.Between*l.Between, 1e-12)
	assert.Equal(t, []result.WarningCode{LotsDiffer, FewLots}, []result.WarningCode{l.Warnings[0].Code, l.Warnings[1].Code})
	d, err := l.Predictive()
	require.NoError(t, err)
	assert.Greater(t, d.UpperQuantile(0.05)-d.Quantile(0.05), 4*l.Total, "three lots say little about the next one")

	same, err := NewLots([][]float64{{1, 2, 3}, {1.1, 2, 2.9}, {1, 2.1, 2.9}}, 0.95)
	require.NoError(t, err)
	assert.Zero(t, same.Between)
	assert.Zero(t, same.CorrelationInterval.Low)
	d, err = same.Predictive()
	require.NoError(t, err)
	mean, sd := stat.MeanStdDev([]float64{1, 2, 3, 1.1, 2, 2.9, 1, 2.1, 2.9}, nil)
	want, err := student(9, mean, sd)
	require.NoError(t, err)
	assert.InEpsilon(t, want.CDF(0.5), d.CDF(0.5), 1e-9, "lots that do not differ are one")

	for name, bad := range map[string][][]float64{
		"one lot":    {{1, 2, 3}},
		"an empty":   {{1, 2, 3}, {}},
		"singletons": {{1}, {2}, {3}},
		"no spread":  {{1, 1}, {2, 2}},
		"NaN":        {{1, math.NaN()}, {2, 2}},
	} {
		_, err := NewLots(bad, 0.95)
		assert.Error(t, err, name)
	}
	_, err = NewLots(groups, 0)
	assert.Error(t, err)
}

func TestProbabilityPlot(t *testing.T) {
	points, err := fitted(t, Data{Values: bearings}, Lognormal).ProbabilityPlot(0)
	require.NoError(t, err)
	assert.Len(t, points, 22) // two are equal
	assert.InDelta(t, 0.7/23.4, points[0].Position, 1e-15)
	assert.InDelta(t, (13.5-0.3)/23.4, points[12].Position, 1e-15, "the mean rank of the two")
	for i, p := range points {
		assert.InEpsilon(t, p.Fitted, p.Reading, 0.25, "point %d of a good fit", i)
	}
	few, err := fitted(t, Data{Values: bearings}, Lognormal).ProbabilityPlot(7)
	require.NoError(t, err)
	assert.LessOrEqual(t, len(few), 7)
	assert.Equal(t, points[0], few[0])
	below, err := fitted(t, Data{Values: bearings, Below: []int{0, 1}}, Weibull).ProbabilityPlot(0)
	require.NoError(t, err)
	assert.InDelta(t, 2.7/23.4, below[0].Position, 1e-15, "the bounds take the first ranks")
	_, err = fitted(t, Data{Values: bearings, Below: []int{10}}, Weibull).ProbabilityPlot(0)
	assert.ErrorContains(t, err, "a bound lies among the readings")
}

func TestDescribe(t *testing.T) {
	d := describe(t, []float64{4, 1, 3, 2})
	assert.Equal(t, []float64{1, 1.75, 2.5, 3.25, 4}, []float64{d.Min, d.Lower, d.Median, d.Upper, d.Max})
	assert.InDelta(t, 0, d.Skewness, 1e-15)
	_, err := sample(t, Data{Values: []float64{1, 2, 3}}).Describe(0)
	assert.Error(t, err)
	_, err = NewSample(Data{Values: []float64{1, 2}})
	assert.Error(t, err)
	three := describe(t, []float64{1, 2, 4})
	assert.True(t, math.IsNaN(three.ExcessKurtosis))
}

// The moments of the next value of a uniform distribution are those of its
// quantiles.
func TestUniformPredictiveMoments(t *testing.T) {
	d, err := fitted(t, Data{Values: bearings}, Uniform).Predictive()
	require.NoError(t, err)
	const n = 200_000
	sum, squares := 0.0, 0.0
	for i := range n {
		x := d.Quantile((float64(i)+0.5)/n) - d.Mean()
		sum += x
		squares += x * x
	}
	assert.InDelta(t, 0, sum/n, 1e-9*d.StdDev())
	assert.InEpsilon(t, d.StdDev(), math.Sqrt(squares/n), 1e-4) // the outermost steps
	three, err := fitted(t, Data{Values: []float64{1, 2, 4}}, Uniform).Predictive()
	require.NoError(t, err)
	assert.True(t, math.IsInf(three.StdDev(), 1))
}

func TestScale(t *testing.T) {
	inf := math.Inf(1)
	for _, s := range []scale{{-inf, inf}, {2, inf}, {-inf, 2}, {-1, 3}} {
		for _, y := range []float64{-5, -0.3, 0, 1.5} {
			x := s.value(y)
			assert.InDelta(t, y, s.coordinate(x), 1e-12)
			assert.InEpsilon(t, (s.value(y+1e-5)-s.value(y-1e-5))/2e-5, s.stretch(y), 1e-6)
		}
		assert.Equal(t, Range(s), Range{Low: s.value(-inf), High: s.value(inf)})
	}
}
