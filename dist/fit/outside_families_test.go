package fit

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/dist/readings"
	"clampodds/reports/validation"
)

// inSciPy is one family at the maximum of its likelihood, by SciPy 1.10.1: the
// likelihood equations by optimize.brentq and fsolve (closed forms for the normal,
// lognormal, half-normal and Rayleigh families), standard errors from the second
// derivatives of the log-likelihood written out (special.polygamma), the
// log-likelihood and A2 from logpdf, logcdf and logsf of scipy.stats. Of the
// normal and lognormal family the sd and sigma_ln have n in the denominator, as
// the maximum has, and A2 the one with n-1. A2 of the uniform family is that of
// the readings between the extremes.
type inSciPy struct {
	family     Family
	values, se []float64
	logL, a2   float64
}

var sciPyOnBearings = []inSciPy{
	{Uniform, []float64{17.88, 173.40}, nil, -116.075809836379, 4.17432070218277},
	{Gamma, []float64{4.02541461792947, 17.9420891215515}, []float64{1.14125538267, 5.41780626655}, -113.029281372169, .215365234355644},
	{HalfNormal, []float64{80.9978666385726}, []float64{11.9424839016}, -117.764925891023, 1.84290453209381},
	{Rayleigh, []float64{57.2741407617783}, []float64{5.97124195078}, -113.740611047952, .319658314265759},
	{Beta, []float64{2.9988342877647, 9.38711849465409}, []float64{.84156670004, 2.78892794774}, -113.340436467802, .293882907698428},
}

var sciPyOnFatigueLives = []inSciPy{
	{Normal, []float64{1400.91089108911, 389.382021151768}, []float64{38.7449592245, 27.3968234045}, -745.733444897861, .206766528165289},
	{Lognormal, []float64{1342.25934188982, .304453956538226}, []float64{.0302943009462 * 1342.25934188982, .0214213056304}, -750.613079572604, .625585819068206},
	{Weibull, []float64{3.94632560940057, 1545.95674776451}, []float64{.300287831983, 41.1507958422}, -746.076481311436, .266387139119431},
	{Gamma, []float64{11.8551180411082, 118.169290784907}, []float64{1.6453082631, 16.7518637014}, -747.270742346877, .289862187276981},
	{Gumbel, []float64{1208.96147465265, 371.241255214526}, []float64{39.1382914405, 26.7780963306}, -750.823877684677, .750774872099328},
	{HalfNormal, []float64{1454.01846039461}, []float64{102.304381873}, -808.795648400939, 22.9049517583023},
	{Rayleigh, []float64{1028.14631331545}, []float64{51.1521909363}, -774.560513866771, 9.98722140866556},
	{Beta, []float64{6.39960728017646, 7.29879859569696}, []float64{.88303649536, 1.0119889881}, -745.548547241415, .165043803251308},
	{Uniform, []float64{370, 2440}, nil, -771.165692512201, 8.41759618158811},
}

var sciPyOnLottery = []inSciPy{
	{Normal, []float64{518.95871559633, 291.029922390792}, []float64{19.7110335291, 13.9378054726}, -1546.13548741618, 2.57372647145084},
	{Lognormal, []float64{384.834525475816, .980830367849526}, []float64{.0664302148321 * 384.834525475816, .0469732553835}, -1602.82237578299, 11.7349189633431},
	{Weibull, []float64{1.6652482615479, 573.283801378944}, []float64{.0966782750813, 24.2658604898}, -1549.22854681107, 4.81708374132282},
	{Gamma, []float64{1.82112105821643, 284.966621661379}, []float64{.161004854224, 28.9702558996}, -1561.29275734441, 6.46253984272821},
	{Gumbel, []float64{372.81462301872, 269.321883008473}, []float64{19.3315756575, 13.9973307901}, -1556.2027075261, 3.71051628563907},
	{HalfNormal, []float64{594.992911067169}, []float64{28.494992487}, -1550.92630398035, 8.63369535947945},
	{Rayleigh, []float64{420.723522173519}, []float64{14.2474962435}, -1554.58816337534, 6.92203968651759},
	{Beta, []float64{1.00543451500695, .939479506366577}, []float64{.0896299857331, .0825897265394}, -1505.40575994555, .151632547767917},
	{Uniform, []float64{4, 999}, nil, -1504.79791670057, .557883712912911},
}

// families compares every family on open data with SciPy.
func families(t *testing.T) []validation.Case {
	read := func(file string) []float64 { return column(t, file, readings.Options{}).Values }
	var cases []validation.Case
	for _, set := range []struct {
		name    string
		values  []float64
		limits  Range
		inSciPy []inSciPy
	}{
		{"23 bearings", bearings, Range{Low: 0, High: 300}, sciPyOnBearings},
		{"101 fatigue lives", read("birnsaun.csv"), Range{Low: 0, High: 3000}, sciPyOnFatigueLives},
		{"218 lottery numbers", read("lottery.csv"), Range{Low: 0, High: 1000}, sciPyOnLottery},
	} {
		s := sample(t, Data{Values: set.values, BetaLimits: set.limits})
		for _, want := range set.inSciPy {
			// A2 of the families without a table comes with the bootstrap.
			f, err := s.Fit(want.family, Options{Level: 0.95, Replicates: 1})
			require.NoError(t, err)
			cases = append(cases, want.cases(fmt.Sprintf("%s, %s: ", set.name, want.family), f)...)
		}
	}
	return cases
}

func (want inSciPy) cases(name string, f *Fit) (cases []validation.Case) {
	add := func(what string, expected, obtained, relative float64, reason string) {
		cases = append(cases, validation.Case{
			Name: name + what, Source: scipy, Standing: validation.Computed, Expected: expected, Obtained: obtained, Relative: relative, Reason: reason,
		})
	}
	const reason = "the two programs stop within 1e-6 of the maximum"
	toMaximum := math.Sqrt(1 - 1/float64(f.N)) // of a spread with n-1
	for i, p := range f.Parameters {
		ratio := 1.0
		if p.Key == "sd" || p.Key == "sigma_ln" {
			ratio = toMaximum
		}
		add(p.Key, want.values[i], ratio*p.Value, 1e-6, reason)
		if want.se != nil {
			add("standard error of "+p.Key, want.se[i], ratio*p.SE, 1e-6, "second derivatives by differences")
		}
	}
	add("log-likelihood", want.logL, f.LogLikelihood, 1e-11, "flat at the maximum; twelve digits")
	add("A2", want.a2, f.AndersonDarling.A2, 1e-6, reason)
	return cases
}
