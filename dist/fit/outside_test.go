package fit

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist/readings"
	"clampodds/reports/validation"
)

const (
	strd     = "NIST Statistical Reference Datasets, "
	handbook = "NIST/SEMATECH e-Handbook of Statistical Methods, "
	scipy    = "SciPy 1.10.1"
	inR      = "R 4.2.2, "
)

func TestOutsideMeasuredData(t *testing.T) {
	var cases []validation.Case
	for _, more := range [][]validation.Case{
		univariate(t), variance(t), maxima(t), families(t), incomplete(t), goodness(t), outlierCases(t), capabilityCases(t), chartCases(t), auditCases(t),
	} {
		cases = append(cases, more...)
	}
	validation.Check(t, "Measured data", cases)
}

// maxima of the likelihood of complete readings.
func maxima(t *testing.T) []validation.Case {
	var cases []validation.Case
	const reason = "the two programs stop within 1e-6 of the maximum"
	d := Data{Values: bearings}
	add := func(f *Fit, source string, logL float64, want, se []float64) {
		name := fmt.Sprintf("23 bearings, %s: ", f.Family)
		for i, p := range f.Parameters {
			got := p.Value
			if f.Family == Normal && p.Key == "sd" || f.Family == Lognormal && p.Key == "sigma_ln" {
				got *= math.Sqrt(22. / 23) // the programs divide by n
			}
			cases = append(cases, validation.Case{
				Name: name + p.Key, Source: source, Standing: validation.Computed,
				Expected: want[i], Obtained: got, Relative: 1e-6, Reason: reason,
			})
			got *= p.SE / p.Value
			cases = append(cases, validation.Case{
				Name: name + "standard error of " + p.Key, Source: source, Standing: validation.Computed,
				Expected: se[i], Obtained: got, Relative: 1e-6, Reason: "second derivatives by differences",
			})
		}
		cases = append(cases, validation.Case{
			Name: name + "log-likelihood", Source: source, Standing: validation.Computed,
			Expected: logL, Obtained: f.LogLikelihood, Relative: 1e-11, Reason: "flat at the maximum; twelve digits",
		})
	}
	add(fitted(t, d, Normal), inR+"fitdistr", -115.477299163, []float64{72.2243478261, 36.6646693848}, []float64{7.64511205337, 5.40591057587})
	add(fitted(t, d, Lognormal), inR+"survreg; median exp(4.15045449389)", -113.1285667372,
		[]float64{math.Exp(4.15045449389), 0.521649334046}, []float64{0.1087714052318 * math.Exp(4.15045449389), 0.0769129982386})
	shape := math.Exp(0.742917281194)
	add(fitted(t, d, Weibull), inR+"survreg: logarithms 4.405234414368 and -0.742917281194", -113.6912909323,
		[]float64{shape, math.Exp(4.405234414368)}, []float64{0.156364323019 * shape, 0.105039334643 * math.Exp(4.405234414368)})
	add(fitted(t, d, Gumbel), inR+"survreg of -x", -113.1697442501,
		[]float64{55.6618940077, 27.7735798494}, []float64{6.087038371262, 0.167209117534 * 27.7735798494})
	weibull := fitted(t, d, Weibull)
	for i, want := range []float64{2.102, 81.88} {
		cases = append(cases, validation.Case{
			Name: "23 bearings, weibull: " + weibull.Parameters[i].Key, Source: "Lawless, Statistical Models and Methods for Lifetime Data", Standing: validation.FromMemory,
			Expected: want, Obtained: weibull.Parameters[i].Value, Relative: 3e-4, Reason: "half a unit of the last digit",
		})
	}
	for _, c := range []struct {
		family Family
		want   float64
	}{{Weibull, 231.98258}, {Lognormal, 230.85713}, {Normal, 235.55460}} {
		cases = append(cases, validation.Case{
			Name: fmt.Sprintf("23 bearings, %s: AICc", c.family), Source: "Burnham and Anderson 2002, on the log-likelihoods of " + scipy, Standing: validation.Computed,
			Expected: c.want, Obtained: fitted(t, d, c.family).AICc, Absolute: 6e-6, Reason: "half a unit of the last digit",
		})
	}
	return append(cases, fatigue(t)...)
}

// fatigue is the handbook's choice of a model for 101 fatigue lives.
func fatigue(t *testing.T) []validation.Case {
	d := Data{Values: column(t, "birnsaun.csv", readings.Options{}).Values}
	normal, gamma := fitted(t, d, Normal), fitted(t, d, Gamma)
	const source, simplex = handbook + "1.4.2.9.2", "found there with a simplex that stops within 1e-3 of a standard error"
	one := func(name string, want, got, absolute float64, reason string) validation.Case {
		return validation.Case{
			Name: "101 fatigue lives, " + name, Source: source, Standing: validation.Published,
			Expected: want, Obtained: got, Absolute: absolute, Reason: reason,
		}
	}
	return []validation.Case{
		one("normal: mean", 1400.8145, normal.Parameters[0].Value, 0.1, simplex),
		one("normal: standard deviation (n)", 389.3003, normal.Parameters[1].Value*math.Sqrt(100./101), 0.1, simplex),
		one("normal: AIC", 1495, normal.AIC, 0.5, "four digits are printed"),
		one("gamma: shape", 11.851717840, gamma.Parameters[0].Value, 0.01, simplex),
		one("gamma: 1/scale", .008459428, 1/gamma.Parameters[1].Value, 1e-5, simplex),
		one("gamma: AIC", 1499, gamma.AIC, 0.5, "four digits are printed"),
	}
}

// incomplete readings: bounds, rounding, inspection, gauge error.
func incomplete(t *testing.T) []validation.Case {
	var cases []validation.Case
	add := func(name, source string, standing validation.Standing, want, got, relative float64, reason string) {
		cases = append(cases, validation.Case{Name: name, Source: source, Standing: standing, Expected: want, Obtained: got, Relative: relative, Reason: reason})
	}
	lives := Data{Values: []float64{54, 187, 216, 240, 244, 335, 361, 373, 375, 386, 500, 500, 500, 500, 500, 500, 500, 500, 500, 500}}
	for i := 10; i < 20; i++ {
		lives.Above = append(lives.Above, i)
	}
	weibull, lognormal, normal := fitted(t, lives, Weibull), fitted(t, lives, Lognormal), fitted(t, lives, Normal)
	const source, name = handbook + "8.4.1.3", "10 failures, 10 of 20 left at 500 h, "
	const printed = "half a unit of the last digit printed"
	add(name+"weibull: scale", source, validation.Published, 606.5280, weibull.Parameters[1].Value, 1e-6, "the fit printed there stops 1e-6 away: R finds 606.5276")
	add(name+"weibull: shape", source, validation.Published, 1.7208, weibull.Parameters[0].Value, 3e-5, printed)
	add(name+"weibull: log-likelihood", source, validation.Published, -75.135, weibull.LogLikelihood, 7e-6, printed)
	add(name+"weibull: AIC", source, validation.Published, 154.27, weibull.AIC, 4e-5, printed)
	add(name+"lognormal: AIC", source, validation.Published, 154.39, lognormal.AIC, 4e-5, printed)
	add(name+"weibull: mean", source, validation.Published, 540.737, weibull.Distribution().Mean(), 1e-6, printed)
	add(name+"weibull: standard deviation", source, validation.Published, 323.806, weibull.Distribution().StdDev(), 2e-6, printed)
	const survreg = inR + "survreg"
	const reason = "both stop within 1e-6 of the maximum"
	add(name+"weibull: 1/shape", survreg, validation.Computed, 0.581125983159, 1/weibull.Parameters[0].Value, 1e-6, reason)
	add(name+"weibull: standard error of ln scale", survreg, validation.Computed, 0.205943908988, weibull.Parameters[1].SE/weibull.Parameters[1].Value, 1e-6, reason)
	add(name+"lognormal: ln median", survreg, validation.Computed, 6.226015068562, math.Log(lognormal.Parameters[0].Value), 1e-6, reason)
	add(name+"lognormal: sigma", survreg, validation.Computed, 0.908914039433, lognormal.Parameters[1].Value, 1e-6, reason)
	add(name+"normal: mean", survreg, validation.Computed, 478.739370848, normal.Parameters[0].Value, 1e-6, reason)
	add(name+"normal: sd", survreg, validation.Computed, 235.495872070, normal.Parameters[1].Value, 1e-6, reason)
	add(name+"normal: log-likelihood", survreg, validation.Computed, -76.09782661854, normal.LogLikelihood, 1e-11, "flat at the maximum")

	small := fitted(t, Data{Values: []float64{.05, .05, .05, .07, .10, .11, .14, .16, .19, .21, .25, .30, .36, .45}, Below: []int{0, 1, 2}}, Lognormal)
	add("three of 14 below 0.05, lognormal: ln median", survreg, validation.Computed, -2.068925447512, math.Log(small.Parameters[0].Value), 1e-6, reason)
	add("three of 14 below 0.05, lognormal: sigma", survreg, validation.Computed, 0.888956744958, small.Parameters[1].Value, 1e-6, reason)
	add("three of 14 below 0.05, lognormal: log-likelihood", survreg, validation.Computed, 1.004612257075, small.LogLikelihood, 1e-10, "a difference of larger terms")

	rounded := Data{Values: []float64{2.4, 2.4, 2.5, 2.5, 2.5, 2.5, 2.6, 2.6, 2.6, 2.7, 2.4, 2.5, 2.6, 2.5, 2.5}, Resolution: 0.1}
	steps := fitted(t, rounded, Normal)
	add("15 readings rounded to 0.1, normal: mean", survreg, validation.Computed, 2.520081534899, steps.Parameters[0].Value, 1e-6, reason)
	add("15 readings rounded to 0.1, normal: sd", survreg, validation.Computed, 0.077993957869, steps.Parameters[1].Value, 1e-6, reason)
	add("15 readings rounded to 0.1, normal: standard error of the mean", survreg, validation.Computed, 0.0214704672948, steps.Parameters[0].SE, 1e-6, reason)
	add("15 readings rounded to 0.1, weibull: 1/shape", survreg, validation.Computed, 0.0295979860731, 1/fitted(t, rounded, Weibull).Parameters[0].Value, 1e-6, reason)

	cut := fitted(t, Data{
		Values: []float64{2.41, 2.44, 2.47, 2.48, 2.49, 2.50, 2.50, 2.51, 2.52, 2.53, 2.53, 2.55, 2.56, 2.58, 2.46, 2.45, 2.52, 2.57, 2.5, 2.54},
		Kept:   Range{Low: 2.4, High: 2.6},
	}, Normal)
	add("20 readings kept from 2.4 to 2.6, normal: mean", inR+"nlm", validation.Computed, 2.5070871831899, cut.Parameters[0].Value, 1e-6, reason)
	add("20 readings kept from 2.4 to 2.6, normal: sd", inR+"nlm", validation.Computed, 0.0497540883061, cut.Parameters[1].Value, 2e-6, "nlm stops on differences of the log-likelihood, 1e-6 of a standard error away")
	add("20 readings kept from 2.4 to 2.6, normal: log-likelihood", inR+"nlm", validation.Computed, 34.8439438438686, cut.LogLikelihood, 1e-11, "flat at the maximum")

	noisy := fitted(t, Data{Values: []float64{.05, .08, .10, .11, .14, .16, .19, .21, .25, .30, .36, .45, .03, .07, .12}, GaugeSD: 0.02}, Lognormal)
	add("15 readings, gauge sd 0.02, lognormal: median", inR+"optim and integrate", validation.Computed, 0.1402512040, noisy.Parameters[0].Value, 1e-6, "the simplex stops 1e-7 away")
	add("15 readings, gauge sd 0.02, lognormal: sigma", inR+"optim and integrate", validation.Computed, 0.6833270607, noisy.Parameters[1].Value, 1e-6, "the simplex stops 1e-7 away")
	add("15 readings, gauge sd 0.02, lognormal: log-likelihood", inR+"optim and integrate", validation.Computed, 13.1540705144, noisy.LogLikelihood, 1e-7, "the error is summed in steps, to 6 standard deviations")
	return cases
}

func goodness(t *testing.T) []validation.Case {
	var cases []validation.Case
	add := func(name, source string, standing validation.Standing, want, got, absolute float64, reason string) {
		cases = append(cases, validation.Case{Name: name, Source: source, Standing: standing, Expected: want, Obtained: got, Absolute: absolute, Reason: reason})
	}
	test := func(values []float64, family Family) AndersonDarling { return asTheyStand(t, values, family) }
	const nortest, twelve = inR + "nortest ad.test", "twelve digits"
	lew, michelson := column(t, "lew.csv", readings.Options{}).Values, column(t, "michelso.csv", readings.Options{}).Values
	zarr := column(t, "zarr13.csv", readings.Options{}).Values
	for _, c := range []struct {
		name   string
		values []float64
		family Family
		a2, p  float64
	}{
		{"23 bearings", bearings, Normal, .60401455625655, .102854938867},
		{"23 bearings", bearings, Lognormal, .18631916716237, .894277632751},
		{"Michelso", michelson, Normal, .46076385565196, .25495663334},
		{"ZARR13", zarr, Normal, .12647878310983, .985018961986},
		{"Lew", lew, Normal, 6.0006469157759, 8.32482770384e-15},
	} {
		a := test(c.values, c.family)
		add(fmt.Sprintf("Anderson-Darling, %s, %s: A2", c.name, c.family), nortest, validation.Computed, c.a2, a.A2, 1e-11, twelve)
		add(fmt.Sprintf("Anderson-Darling, %s, %s: p", c.name, c.family), nortest, validation.Computed, c.p, a.P, 1e-11*math.Max(c.p, 1e-3), twelve)
	}
	add("Anderson-Darling, 23 bearings, weibull: A2", scipy+" anderson gumbel_l of the logarithms", validation.Computed, .3286097529217926, test(bearings, Weibull).A2, 1e-9, "the maxima differ by 1e-7 of a standard error")
	add("Anderson-Darling, 23 bearings, gumbel: A2", scipy+" anderson gumbel_r", validation.Computed, .2302099820209058, test(bearings, Gumbel).A2, 1e-9, "the maxima differ by 1e-7 of a standard error")
	add("Anderson-Darling, 23 bearings, weibull: adjusted", "Stephens, Biometrika 64 (1977) 583, on A2 of "+scipy, validation.Computed, .342313727, test(bearings, Weibull).Adjusted, 5e-9, "nine digits")
	for _, c := range []struct{ a, p float64 }{{.474, .25}, {.637, .10}, {.757, .05}, {.877, .025}, {1.038, .01}} {
		add(fmt.Sprintf("Anderson-Darling, extreme value: p at the critical value %g", c.a), "Stephens, Biometrika 64 (1977) 583", validation.Published,
			c.p, extremeValueTest(AndersonDarling{A2: c.a}, math.Inf(1)).P, 1e-12, "a node of the interpolation")
	}
	// The handbook multiplies by 1 + 4/n - 25/n^2 (Stephens 1974) and compares
	// with 0.787.
	old := func(a AndersonDarling, n float64) float64 { return a.A2 * (1 + 4/n - 25/(n*n)) }
	add("Anderson-Darling, ZARR13, normal: adjusted as of 1974", handbook+"1.4.2.8.3", validation.FromMemory, .129, old(test(zarr, Normal), 195), 5e-4, "half a unit of the last digit printed")
	add("Anderson-Darling, 6 tensile strengths, normal: A2", "MIL-HDBK-17, problem 6 of 8.3.7; the statistic from memory", validation.FromMemory,
		.1699, test([]float64{338.7, 308.5, 317.7, 313.1, 322.7, 294.2}, Normal).A2, 5e-5, "half a unit of the last digit printed")
	add("Anderson-Darling, Michelso, normal: adjusted as of 1974", "Stephens, J. Am. Statist. Assoc. 69 (1974) 730, on A2 of R", validation.Computed, .4780425002, old(test(michelson, Normal), 100), 1e-10, "ten digits")
	add("Anderson-Darling, Michelso, normal: adjusted as of 1986", "D'Agostino and Stephens 1986, table 4.7, on A2 of R", validation.Computed, .4643232564, test(michelson, Normal).Adjusted, 1e-10, "ten digits")
	for _, c := range []struct{ a, p float64 }{{.631, .10}, {.752, .05}, {.873, .025}, {1.035, .01}} {
		add(fmt.Sprintf("Anderson-Darling, normal: p at the critical value %g", c.a), "D'Agostino and Stephens 1986, table 4.7", validation.Published,
			c.p, normalTest(AndersonDarling{A2: c.a}, math.Inf(1)).P, 0.015*c.p, "the table of p fits that of critical values to 1.5 %")
	}
	for _, c := range []struct{ a, p float64 }{{1.933, .10}, {2.492, .05}, {3.070, .025}} {
		add(fmt.Sprintf("Anderson-Darling, nothing estimated: p at the critical value %g", c.a), "D'Agostino and Stephens 1986, table 4.2", validation.FromMemory,
			c.p, 1-andersonLimit(c.a), 1e-2*c.p, "tabulated for finite samples, 1 % from the limit")
	}
	return cases
}

func outlierCases(t *testing.T) []validation.Case {
	var cases []validation.Case
	rosner := []float64{
		-0.25, 0.68, 0.94, 1.15, 1.20, 1.26, 1.26, 1.34, 1.38, 1.43, 1.49, 1.49, 1.55, 1.56, 1.58, 1.65, 1.69, 1.70, 1.76, 1.77,
		1.81, 1.91, 1.94, 1.96, 1.99, 2.06, 2.09, 2.10, 2.14, 2.15, 2.23, 2.24, 2.26, 2.35, 2.37, 2.40, 2.47, 2.54, 2.62, 2.64,
		2.90, 2.92, 2.92, 2.93, 3.21, 3.26, 3.30, 3.59, 3.68, 4.30, 4.64, 5.34, 5.42, 6.01,
	}
	test := OutlierTest{Most: 10}
	test.steps(yardstick{scale: asItIs}, rosner, 0.05)
	assert.Equal(t, 3, test.Flagged, "the handbook flags three")
	assert.Equal(t, 3, flagsOf(t, Data{Values: rosner}, Normal).Outliers.Flagged, "and so do simulated critical values")
	for i, want := range [][2]float64{
		{3.118906, 3.158794},
		{2.942973, 3.151430},
		{3.179424, 3.143890},
		{2.810181, 3.136165},
		{2.815580, 3.128247},
		{2.848172, 3.120128},
		{2.279327, 3.111796},
		{2.310366, 3.103243},
		{2.101581, 3.094456},
		{2.067178, 3.085425},
	} {
		for j, name := range []string{"statistic", "critical value"} {
			cases = append(cases, validation.Case{
				Name: fmt.Sprintf("generalized ESD test of 54 readings, step %d: %s", i+1, name), Source: handbook + "1.3.5.17.3", Standing: validation.Published,
				Expected: want[j], Obtained: [2]float64{test.Steps[i].Statistic, test.Steps[i].Critical}[j], Absolute: 5.1e-7, Reason: "half a unit of the last digit printed",
			})
		}
	}
	grubbs := OutlierTest{Most: 1}
	uranium := []float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}
	grubbs.steps(yardstick{scale: asItIs}, uranium, 0.10) // one-sided 5 %
	assert.Equal(t, 1, grubbs.Flagged)
	assert.Equal(t, 7, grubbs.Steps[0].Index)
	return append(cases,
		validation.Case{
			Name: "Grubbs' test of 8 mass spectrometer readings: statistic", Source: handbook + "1.3.5.17.1", Standing: validation.Published,
			Expected: 2.4687, Obtained: grubbs.Steps[0].Statistic, Absolute: 1e-4, Reason: "the last digit printed is cut, not rounded",
		},
		validation.Case{
			Name: "Grubbs' test of 8 readings: critical value, one-sided 5 %", Source: handbook + "1.3.5.17.1", Standing: validation.Published,
			Expected: 2.032, Obtained: grubbs.Steps[0].Critical, Absolute: 5e-4, Reason: "half a unit of the last digit printed",
		})
}

func capabilityCases(t *testing.T) []validation.Case {
	var cases []validation.Case
	add := func(name, source string, standing validation.Standing, want, got, absolute float64, reason string) {
		cases = append(cases, validation.Case{Name: name, Source: source, Standing: standing, Expected: want, Obtained: got, Absolute: absolute, Reason: reason})
	}
	const six = "half a unit of the last digit"
	cp, cpk := indices("C", Range{Low: 8, High: 20}, 16, 2, 50, 49, 0.95)
	add("limits 8 and 20, mean 16, s 2: Cp", handbook+"6.1.6", validation.Published, 1, cp.Estimate, 1e-12, "a whole number")
	add("limits 8 and 20, mean 16, s 2: Cpk", handbook+"6.1.6", validation.Published, .6667, cpk.Estimate, 5e-5, six)
	_, cpl := indices("C", Range{Low: 8, High: math.Inf(1)}, 16, 2, 50, 49, 0.95)
	add("lower limit 8, mean 16, s 2: Cpk, there Cpl", handbook+"6.1.6", validation.Published, 1.3333, cpl.Estimate, 5e-5, six)
	_, cpu := indices("C", Range{Low: math.Inf(-1), High: 20}, 16, 2, 50, 49, 0.95)
	add("upper limit 20, mean 16, s 2: Cpk, there Cpu", handbook+"6.1.6", validation.Published, .6667, cpu.Estimate, 5e-5, six)
	cp, _ = indices("C", Range{Low: 0, High: 6 * 2.29}, 3, 1, 20, 19, 0.95)
	add("Cp 2.29 from 20 readings: low", "SciPy 1.10.1 chi2; a textbook prints 1.57", validation.Computed, 1.567879276, cp.Interval.Low, 5e-10, six)
	add("Cp 2.29 from 20 readings: high", "SciPy 1.10.1 chi2; a textbook prints 3.01", validation.Computed, 3.011214891, cp.Interval.High, 5e-10, six)
	const bissell = "Bissell, Appl. Statist. 39 (1990) 331"
	_, cpk = indices("C", Range{Low: math.Inf(-1), High: 3.99}, 0, 1, 20, 19, 0.95)
	add("Cpk 1.33 from 20 readings: low", bissell, validation.Computed, .882606, cpk.Interval.Low, 5e-7, six)
	add("Cpk 1.33 from 20 readings: high", bissell, validation.Computed, 1.777394, cpk.Interval.High, 5e-7, six)
	cp, cpk = indices("C", Range{Low: 90, High: 100}, 97, 1.6, 30, 29, 0.95)
	add("limits 90 and 100, mean 97, s 1.6, n 30: Cp low", scipy+" chi2", validation.Computed, .7748678902, cp.Interval.Low, 5e-11, six)
	add("limits 90 and 100, mean 97, s 1.6, n 30: Cp high", scipy+" chi2", validation.Computed, 1.3079578088, cp.Interval.High, 5e-11, six)
	add("limits 90 and 100, mean 97, s 1.6, n 30: Cpk low", bissell, validation.Computed, .4247513564, cpk.Interval.Low, 5e-11, six)
	add("limits 90 and 100, mean 97, s 1.6, n 30: Cpk high", bissell, validation.Computed, .8252486436, cpk.Interval.High, 5e-11, six)
	add("limits 90 and 100, mean 97, s 1.6, n 30: Cpk one-sided", bissell, validation.Computed, .4569460407, cpk.Lower, 5e-11, six)
	return cases
}

func chartCases(t *testing.T) []validation.Case {
	_, mavro := runs{7, 27, 22}.score()
	lives := Data{Values: []float64{54, 187, 216, 240, 244, 335, 361, 373, 375, 386, 500, 500, 500, 500, 500, 500, 500, 500, 500, 500}, Above: []int{10, 11, 12, 13, 14, 15, 16, 17, 18, 19}}
	points, err := fitted(t, lives, Weibull).ProbabilityPlot(0)
	require.NoError(t, err)
	lew := sample(t, Data{Values: column(t, "lew.csv", readings.Options{}).Values})
	_, z := countRuns(lew.data.Values, quantileOf(lew.sorted, 0.5)).score()
	cases := []validation.Case{{
		Name: "runs about the median of 200 beam deflections, standardised (Lew)", Source: handbook + "1.3.5.13 and 1.4.2.5", Standing: validation.Published,
		Expected: 2.6938, Obtained: z, Absolute: 5e-5, Reason: "half a unit of the last digit printed",
	}, {
		Name: "7 runs of 27 above and 22 below the median, standardised (Mavro as counted there)", Source: handbook + "1.4.2.6.3", Standing: validation.Published,
		Expected: -5.3246, Obtained: mavro, Absolute: 5e-5, Reason: "half a unit of the last digit printed",
	}}
	// Fewest and most runs that a two-sided test at 5 % rejects.
	for _, c := range []struct{ above, below, few, many int }{{5, 5, 2, 10}, {10, 10, 6, 16}, {20, 20, 14, 28}} {
		few, many := 0, 0
		for count := 2; count <= c.above+c.below; count++ {
			r := runs{count, c.above, c.below}
			if p, _ := r.test(0.05); p <= 0.05 && many == 0 {
				if count <= c.above {
					few = count
				} else {
					many = count
				}
			}
		}
		for i, want := range []int{c.few, c.many} {
			cases = append(cases, validation.Case{
				Name:   fmt.Sprintf("%s runs of %d above and %d below that are significant at 5 %%", []string{"most of few", "fewest of many"}[i], c.above, c.below),
				Source: "Swed and Eisenhart, Ann. Math. Statist. 14 (1943) 66, tables II and III", Standing: validation.FromMemory,
				Expected: float64(want), Obtained: float64([]int{few, many}[i]), Absolute: 0.5, Reason: "a whole number",
			})
		}
	}
	for i, want := range []float64{.03491627, .08701138, .14197026, .20012618, .26187419, .32768741, .39813907, .47393291, .55594606, .64529116} {
		cases = append(cases, validation.Case{
			Name: fmt.Sprintf("Weibull plot of 10 failures of 20: ordinate %d", i+1), Source: handbook + "8.2.2.1", Standing: validation.Published,
			Expected: want, Obtained: -math.Log1p(-points[i].Position), Absolute: 5e-9, Reason: "half a unit of the last digit printed",
		})
	}
	return cases
}

// auditCases: what twelve readings say about a limit.
func auditCases(t *testing.T) []validation.Case {
	f := fitted(t, Data{Values: audit}, Normal)
	var cases []validation.Case
	add := func(name, source string, want, got, relative float64, reason string) {
		cases = append(cases, validation.Case{
			Name: "12 readings of mean 2.50333 and s 0.0512274: " + name, Source: source, Standing: validation.Computed,
			Expected: want, Obtained: got, Relative: relative, Reason: reason,
		})
	}
	for _, c := range []struct{ limit, plugIn, predictive, upper float64 }{
		{2.30, 3.605216021878191e-05, 0.0014376080993018742, 6.674412e-3},
		{2.25, 3.8018414346697334e-07, 0.00029923423567465834, 9.047588e-4},
		{2.20, 1.5968877075982377e-09, 7.022698244142723e-05, 8.484156e-5},
	} {
		e, err := f.Exceedance(c.limit, false, 0.95)
		require.NoError(t, err)
		name := fmt.Sprintf("P(X < %g), ", c.limit)
		add(name+"fitted curve", scipy+" norm", c.plugIn, e.PlugIn, 1e-12, "a normal tail")
		add(name+"next reading", scipy+" t", c.predictive, e.Predictive, 1e-11, "a t tail")
		add(name+"95 % bound", "noncentral t, R 4.2.2, and an independent quadrature", c.upper, e.Upper, 2e-3, "a grid of half a standard deviation: 0.0002 of the confidence")
	}
	for i, want := range []Range{{Low: 2.470785022, High: 2.535881645}, {Low: .0362892135, High: .08697780864}} {
		add(f.Parameters[i].Key+" 95 % low", scipy+" t and chi2", want.Low, f.Parameters[i].Interval.Low, 2e-9, "ten digits")
		add(f.Parameters[i].Key+" 95 % high", scipy+" t and chi2", want.High, f.Parameters[i].Interval.High, 2e-9, "ten digits")
	}
	d, err := f.Predictive()
	require.NoError(t, err)
	add("1 % quantile of the next reading", scipy+" t", 2.358407724, d.Quantile(0.01), 1e-9, "ten digits")
	cases = append(cases, validation.Case{
		Name: "23 bearings: skewness", Source: scipy + " skew(bias=False)", Standing: validation.Computed,
		Expected: 1.0082570311779582, Obtained: describe(t, bearings).Skewness, Relative: 1e-12, Reason: "a sum of cubes",
	}, validation.Case{
		Name: "23 bearings: excess kurtosis", Source: scipy + " kurtosis(bias=False)", Standing: validation.Computed,
		Expected: 0.9261659079000113, Obtained: describe(t, bearings).ExcessKurtosis, Relative: 1e-12, Reason: "a sum of fourth powers",
	})
	flow := describe(t, column(t, "zarr13.csv", readings.Options{}).Values)
	for _, c := range []struct {
		name      string
		want, got float64
	}{{"mean", 9.261460, flow.Mean}, {"standard deviation", .022789, flow.StdDev}, {"95 % low of the mean", 9.258242, flow.MeanInterval.Low}, {"95 % high of the mean", 9.264679, flow.MeanInterval.High}} {
		cases = append(cases, validation.Case{
			Name: "195 heat flow meter readings (ZARR13): " + c.name, Source: handbook + "1.3.5.2", Standing: validation.Published,
			Expected: c.want, Obtained: c.got, Absolute: 1e-6, Reason: "a unit of the last digit printed: the mean there is cut, not rounded",
		})
	}
	add("Anderson-Darling adjusted", scipy+", D'Agostino and Stephens 1986", .1138160, asTheyStand(t, audit, Normal).Adjusted, 1e-6, "seven digits")
	add("standard deviation", scipy, .05122736011, describe(t, audit).StdDev, 1e-9, "ten digits")
	return cases
}

func describe(t *testing.T, values []float64) Description {
	t.Helper()
	d, err := sample(t, Data{Values: values}).Describe(0.95)
	require.NoError(t, err)
	return d
}

func asItIs(x float64) float64 { return x }

func flagsOf(t *testing.T, d Data, family Family) Flags {
	t.Helper()
	flags, err := fitted(t, d, family).Flags(0.05, 1)
	require.NoError(t, err)
	return flags
}
