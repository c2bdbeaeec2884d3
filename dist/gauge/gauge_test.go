package gauge

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"clampodds/dist"
	"clampodds/sim/result"
)

// Four parts by one operator are the one-way analysis: by hand, means 10, 12, 11, 13 of
// readings one above and one below, mean squares 2*5/3 and 8/4.
func TestOneOperatorByHand(t *testing.T) {
	s := analysed(t, study(t, "9 11\n11 13\n10 12\n12 14", 2), ByTest)
	assert.Nil(t, s.With)
	assert.False(t, s.Kept)
	assert.InDelta(t, 10./3, s.Without[0].MeanSquare, 1e-12)
	assert.InDelta(t, 2, s.Variance(Repeatability), 1e-12)
	assert.InDelta(t, (10./3-2)/2, s.Between.Variance, 1e-12)
	assert.InDelta(t, 2, s.Gauge.Variance, 1e-12)
	assert.Equal(t, s.Components[0].Interval, s.Gauge.Interval, "of one mean square Graybill and Wang's interval is the exact one")
	assert.InDelta(t, 4, s.GaugeFreedom, 1e-12)
	assert.InDelta(t, 11.5, s.Mean, 1e-12)
	assert.Len(t, s.Components, 1)
}

// The order of rows, a shift of all readings and the names say nothing; a scale multiplies
// variances by its square.
func TestWhatDoesNotMatter(t *testing.T) {
	readings := study(t, cloth, 2)
	want := analysed(t, readings, With)
	random := rand.New(rand.NewPCG(1, 0))
	random.Shuffle(len(readings), func(i, j int) { readings[i], readings[j] = readings[j], readings[i] })
	for i := range readings {
		readings[i].Value = 1e6 + 3*readings[i].Value
	}
	got := analysed(t, readings, With)
	for i, c := range want.Components {
		// 1e6 takes six of sixteen digits
		assert.InDelta(t, 9*c.Variance, got.Components[i].Variance, 1e-8)
		assert.InDelta(t, 9*c.Interval.High, got.Components[i].Interval.High, 1e-6)
	}
	assert.InEpsilon(t, 9*want.Gauge.Variance, got.Gauge.Variance, 1e-8)
}

// The sum of squares about the mean is that of the sources, in either model.
func TestSquaresAddUp(t *testing.T) {
	readings := study(t, cloth, 2)
	s := analysed(t, readings, With)
	var values []float64
	for _, r := range readings {
		values = append(values, r.Value)
	}
	total := stat.Variance(values, nil) * float64(len(values)-1)
	for _, rows := range [][]Row{s.With, s.Without} {
		sum, freedom := 0.0, 0
		for _, r := range rows {
			sum, freedom = sum+r.SumSquares, freedom+r.Freedom
		}
		assert.InEpsilon(t, total, sum, 1e-12)
		assert.Equal(t, len(values)-1, freedom)
	}
}

// The rule that leaves the interaction out, and what asks for one or the other.
func TestPoolingRule(t *testing.T) {
	at := func(data string, model Model) *Study { return analysed(t, study(t, data, 2), model) }
	assert.InDelta(t, 0.234, at(cloth, ByTest).With[2].P, 5e-4, "F 1.585 on 6 and 12")
	assert.True(t, at(cloth, ByTest).Kept)
	assert.False(t, at(cloth, Without).Kept)
	assert.False(t, at(dimension, ByTest).Kept)
	assert.True(t, at(dimension, With).Kept)
	assert.Zero(t, at(dimension, With).Variance(Interaction), "its estimate is below zero")
	assert.InDelta(t, (5.94444-3.75)/2, at(cloth, ByTest).Variance(Interaction), 1e-5)
}

// The gauge of the cloth, from its mean squares of 13.167, 5.944 and 3.75 with 2, 6 and 12 degrees
// of freedom: 4 machines and 2 repeats weigh them with 1/8, 3/8 and 1/2 (Graybill and Wang 1980).
func TestGaugeIntervalByHand(t *testing.T) {
	s := analysed(t, study(t, cloth, 2), With)
	sum, below, above := 0.0, 0.0, 0.0
	for _, c := range []struct{ weight, square, freedom float64 }{{1. / 8, 79. / 6, 2}, {3. / 8, 107. / 18, 6}, {1. / 2, 15. / 4, 12}} {
		chi := distuv.ChiSquared{K: c.freedom}
		x := c.weight * c.square
		sum += x
		below += math.Pow((1-c.freedom/chi.Quantile(0.975))*x, 2)
		above += math.Pow((c.freedom/chi.Quantile(0.025)-1)*x, 2)
	}
	assert.InEpsilon(t, sum, s.Gauge.Variance, 1e-12, "of components above zero it is the sum")
	assert.InEpsilon(t, sum-math.Sqrt(below), s.Gauge.Interval.Low, 1e-9)
	assert.InEpsilon(t, sum+math.Sqrt(above), s.Gauge.Interval.High, 1e-9)
}

// The lower end of a difference is 0 where F is its own quantile, above it it is positive;
// with the second mean square known to be small the interval is that of the first alone.
func TestDifferenceIsExactAtItsEnds(t *testing.T) {
	limits := large{0.025}
	for _, c := range [][2]int{{9, 18}, {2, 18}, {1, 1}, {18, 30}} {
		verge := distuv.F{D1: float64(c[0]), D2: float64(c[1])}
		a, b := Row{MeanSquare: verge.Quantile(0.975), Freedom: c[0]}, Row{MeanSquare: 1, Freedom: c[1]}
		assert.InDelta(t, 0, limits.difference(a, b).Low, 1e-6*a.MeanSquare, "%v", c)
		a.MeanSquare = verge.Quantile(0.025)
		assert.InDelta(t, 0, limits.difference(a, b).High, 1e-6, "%v", c)
		a.MeanSquare = 1e9
		alone, got := limits.square(a), limits.difference(a, b)
		assert.InEpsilon(t, alone.Low, got.Low, 1e-4, "%v", c)
		assert.InEpsilon(t, alone.High, got.High, 1e-4, "%v", c)
	}
}

func TestUnbalancedStudiesAreRefusedWithTheirLines(t *testing.T) {
	readings := study(t, cloth, 2)
	drop := func(i int) []Reading { return slices.Delete(slices.Clone(readings), i, i+1) }
	for want, bad := range map[string][]Reading{
		"part 2, operator B: 1 on line 11, other cells have 2":                                 drop(8),
		"part 1, operator A: no reading, other cells have 2 (the part is on lines 4, 5, 6, 7)": readings[2:],
		"part 4, operator C: 3 on lines 24, 25, 99, other cells have 2":                        append(slices.Clone(readings), Reading{"4", "C", 111, 99}),
		"part 2: 1 on line 4, other cells have 2":                                              {{"1", "", 1, 2}, {"1", "", 2, 3}, {"2", "", 1, 4}},
		"line 7: a reading must be finite":                                                     {{"1", "A", math.NaN(), 7}},
		"two parts or more, there are 1":                                                       readings[:6],
		"every part is read once":                                                              study(t, "1 2\n2 4", 1),
		"all repeats are equal":                                                                study(t, "1 1\n2 2", 2),
		"two parts or more, there are 0":                                                       nil,
	} {
		_, err := New(bad, ByTest, 0.95)
		assert.ErrorContains(t, err, want)
	}
	_, err := New(readings, "perhaps", 0.95)
	assert.ErrorContains(t, err, "interaction")
	_, err = New(readings, With, 1)
	assert.ErrorContains(t, err, "confidence")
}

// 3, 4 and 12: repeatability 3, operators 4, interaction 12 as standard uncertainties; the
// resolution counts in place of the repeatability once it is larger.
func TestUncertaintyByHand(t *testing.T) {
	s := &Study{
		Components: []Component{{Source: Repeatability, Variance: 9}, {Source: Operator, Variance: 16}, {Source: Interaction, Variance: 144}},
		Gauge:      Component{Variance: 169, Interval: result.Interval{Low: 100, High: 400}}, GaugeFreedom: 10,
	}
	u, err := s.Uncertainty(Known{})
	require.NoError(t, err)
	assert.InDelta(t, 13, u.Process, 1e-12)
	assert.InDelta(t, 3, u.System, 1e-12)
	assert.InDelta(t, 4, u.Shared, 1e-12)
	assert.InDelta(t, math.Sqrt(153), u.Single, 1e-12)
	assert.InDelta(t, 10, u.Interval.Low, 1e-12)
	assert.InDelta(t, 10, u.Freedom, 1e-12)
	assert.InDelta(t, 13, s.Scatter(false), 1e-12)
	assert.InDelta(t, math.Sqrt(153), s.Scatter(true), 1e-12)

	u, err = s.Uncertainty(Known{Resolution: 5 * math.Sqrt(12), Linearity: 2 * math.Sqrt(3), Calibration: 1})
	require.NoError(t, err)
	assert.InDelta(t, math.Sqrt(25+4+1), u.System, 1e-12)
	assert.InDelta(t, math.Sqrt(25+4+1+16+144), u.Process, 1e-12)
	assert.InDelta(t, math.Sqrt(16+4+1), u.Shared, 1e-12)
	assert.InDelta(t, 11, u.Interval.Low, 1e-12, "100 and what is not from the study, 190 - 169")
	assert.InDelta(t, 10*190*190/169./169, u.Freedom, 1e-9)
	assert.False(t, u.Terms[0].Counted)
	assert.InDelta(t, 0.2, Ratio(5, 100), 1e-12)

	_, err = s.Uncertainty(Known{Linearity: -1})
	assert.ErrorContains(t, err, "linearity")
}

// Parts cut to a band: against a sum over a million of them.
func TestReadsBelowAndAboveOfParts(t *testing.T) {
	band, err := dist.NewTruncated(normal(0.7, 0.0214), 0.65, 0.8)
	require.NoError(t, err)
	const parts = 1_000_000
	for _, limit := range []float64{0.6, 0.655, 0.75, 0.8} {
		below, above := 0.0, 0.0
		for i := range parts {
			z := (limit - band.Quantile((float64(i)+0.5)/parts)) / 0.01
			below, above = below+dist.NormalCDF(z), above+dist.NormalSurvival(z)
		}
		assert.InEpsilon(t, below/parts, ReadsBelow(band, limit, 0.01), 1e-5, "%v", limit)
		if above > 1e-3*parts { // the sum has few parts further out
			assert.InEpsilon(t, above/parts, ReadsAbove(band, limit, 0.01), 1e-5, "%v", limit)
		}
	}
	assert.InDelta(t, 1, ReadsBelow(band, 2, 0.01), 1e-12)
	assert.Zero(t, ReadsBelow(band, -1, 0.01))
	assert.InDelta(t, 1, ReadsAbove(band, -1, 0.01), 1e-12)
	assert.Zero(t, ReadsAbove(band, 2, 0.01))
}

// Student's t, one-sided 5 %: 6.314, 2.920, 2.015 and 1.812 for 1, 2, 5 and 10 degrees of freedom (any table; half a unit of the last
// digit moves 5 % by 5e-5). Of one mean square the error is Student's t.
func TestGuardFactorOfOneMeanSquareIsStudentsT(t *testing.T) {
	for freedom, factor := range map[int]float64{1: 6.314, 2: 2.920, 5: 2.015, 10: 1.812} {
		u := Uncertainty{Process: 3, errs: errs{0, []weighted{{2, Row{Freedom: freedom, MeanSquare: 4.5}}}}}
		assert.InDelta(t, factor, u.GuardFactor(), 5e-4, "%d", freedom)
		assert.InDelta(t, 0.05, u.WronglyAccepted(factor), 5e-5, "%d", freedom)
		assert.InDelta(t, 0.05, u.WronglyAccepted(u.GuardFactor()), 1e-9, "%d", freedom)
		assert.InEpsilon(t, 0.5, u.WronglyAccepted(0), 1e-5)
	}
	known := Uncertainty{Process: 2, errs: errs{known: 4}}
	assert.InDelta(t, 1.6449, known.GuardFactor(), 5e-5, "the normal's")
}

// Two mean squares with 2 and 6 degrees of freedom: against a million draws of the fiducial distribution (standard error 0.0002).
func TestGuardBandOfTwoMeanSquares(t *testing.T) {
	u := Uncertainty{Process: 1, errs: errs{0.2, []weighted{{0.1, Row{Freedom: 2, MeanSquare: 5}}, {0.5, Row{Freedom: 6, MeanSquare: 1}}}}}
	random := rand.New(rand.NewPCG(8, 8))
	square := func(freedom int) (sum float64) {
		for range freedom {
			z := random.NormFloat64()
			sum += z * z
		}
		return sum / float64(freedom)
	}
	const draws = 1_000_000
	beyond, band := 0, u.GuardFactor()
	for range draws {
		if math.Sqrt(0.2+0.5/square(2)+0.5/square(6))*random.NormFloat64() > band {
			beyond++
		}
	}
	assert.InDelta(t, 0.05, float64(beyond)/draws, 7e-4, "three standard errors: false alarm 1 in 370")
}

// Of one operator the scatter is known by the cells and the repeats, of all of them by the operators too, who are few.
func TestScatterFreedom(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 3))
	var readings []Reading
	for part := range 10 {
		for operator := range 3 {
			for range 2 {
				readings = append(readings, Reading{fmt.Sprint(part), fmt.Sprint(operator), float64(part) + float64(operator)/4 + random.NormFloat64()/10, len(readings)})
			}
		}
	}
	with, err := New(readings, With, 0.95)
	require.NoError(t, err)
	without, err := New(readings, Without, 0.95)
	require.NoError(t, err)
	assert.Equal(t, with.GaugeFreedom, with.ScatterFreedom(false))
	assert.Less(t, with.ScatterFreedom(false), 4.0, "two degrees of freedom of the operators make most of it")
	assert.Greater(t, with.ScatterFreedom(true), 18.0, "18 of the cells at least")
	assert.Less(t, with.ScatterFreedom(true), 48.0)
	assert.Equal(t, 48.0, without.ScatterFreedom(true), "60 readings less parts, operators and the mean")
}
