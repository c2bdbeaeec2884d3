package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSlowQuantilesAgainstReferences(t *testing.T) {
	gamma := func(shape float64) Distribution {
		d, err := NewGamma(shape, 1)
		require.NoError(t, err)
		return d
	}
	student := func(dof float64) Distribution {
		d, err := NewStudentT(dof, 0, 1)
		require.NoError(t, err)
		return d
	}
	beta := func(a, b float64) Distribution {
		d, err := NewBeta(a, b, 0, 1)
		require.NoError(t, err)
		return d
	}
	// mpmath 1.3.0, 40 digits, of the float64 nearest to the probability
	for _, c := range []struct {
		name     string
		d        Distribution
		upper    bool
		p, x     float64
		tailOnly float64 // allowed relative error of the tail at x
	}{
		{"gamma 2.5", gamma(2.5), false, 1e-12, 0.00002562321748415267946, 1e-12},
		{"gamma 2.5", gamma(2.5), true, 1e-12, 32.619318106683922335, 1e-12},
		{"gamma 2.5", gamma(2.5), false, 0.3, 1.499954066379953105, 1e-12},
		{"gamma 2.5", gamma(2.5), true, 0.3, 3.0322149920774524819, 1e-12},
		{"gamma 40", gamma(40), false, 1e-15, 8.0971298710263551219, 1e-12},
		{"gamma 40", gamma(40), true, 1e-15, 112.53183415840374255, 1e-12},
		{"t 5", student(5), true, 1e-12, 393.95695957760377025, 1e-12},
		{"t 18", student(18), true, 0.005, 2.8784404727386081082, 1e-12},
		{"t 18", student(18), true, 1e-15, 24.9879811074658765, 1e-12},
		{"t 18", student(18), false, 1e-15, -24.9879811074658765, 1e-12},
		{"t 11", student(11), true, 0.025, 2.2009851600916398361, 1e-12},
		{"t 1000", student(1000), true, 1e-10, 6.4278762831342136275, 1e-12},
		{"beta 2 5", beta(2, 5), false, 1e-12, 2.5819897863610069549e-7, 1e-12},
		{"beta 2 5", beta(2, 5), false, 0.1, 0.092595258913128752116, 1e-12},
		{"beta 2 5", beta(2, 5), true, 1e-12, 1 - 0.0027833732636848298093, 1e-12},
		{"beta 2 5", beta(2, 5), true, 0.1, 1 - 0.48968369344850836247, 1e-12},
		{"beta 0.5 3", beta(0.5, 3), false, 1e-10, 2.8444444444444446517e-21, 1e-12},
		{"beta 0.5 3", beta(0.5, 3), true, 1e-10, 1 - 0.00068393188931389054969, 1e-12},
	} {
		quantile, tail := c.d.Quantile, c.d.CDF
		if c.upper {
			quantile, tail = c.d.UpperQuantile, c.d.Survival
		}
		assert.InEpsilon(t, c.x, quantile(c.p), 1e-9, "%s at %g: table", c.name, c.p)
		// What rounding x to float64 does to the tail is allowed for.
		rounding := ulp * c.x * math.Exp(c.d.LogDensity(c.x)) / c.p
		assert.InEpsilon(t, c.p, tail(c.x), c.tailOnly+math.Abs(rounding), "%s at %g: tail", c.name, c.p)
	}
}

// The table against the search, between its points, over the whole range of
// shapes: the stated 1e-9 of the logarithm (of the odds).
func TestTableError(t *testing.T) {
	shapes := []transformed{
		newLogOdds(0.25, 0.25), newLogOdds(0.25, 50), newLogOdds(5000, 0.25), newLogOdds(0.5, 0.25), newLogOdds(0.5, 9), newLogOdds(0.5, 5e4),
		newLogOdds(2, 5), newLogOdds(300, 20), newLogOdds(1, 1), newLogOdds(5000, 5000),
	}
	for _, shape := range []float64{0.1, 0.15, 0.3, 1, 2.5, 40, 1000, 1e4} {
		logGamma, _ := math.Lgamma(shape)
		shapes = append(shapes, logGammaShape{shape, logGamma})
	}
	for _, shape := range shapes {
		table := tabulate(shape)
		for z := -8.2; z < 8.2; z += 0.1137 {
			exact, fromTable := 0.0, 0.0
			if z < 0 {
				exact, fromTable = searchLower(shape, NormalCDF(z)), table.lowerQuantile(NormalCDF(z))
			} else {
				exact, fromTable = searchUpper(shape, NormalSurvival(z)), table.upperQuantile(NormalSurvival(z))
			}
			assert.InDelta(t, exact, fromTable, 1e-9, "%+v at %g", shape, z)
		}
	}
}

// Beyond the table the search takes over, without a step.
func TestBeyondTheTable(t *testing.T) {
	d, err := NewGamma(2.5, 3)
	require.NoError(t, err)
	edge := NormalCDF(-tableEnd)
	assert.InEpsilon(t, d.Quantile(edge*(1+1e-9)), d.Quantile(edge*(1-1e-9)), 1e-8)
	for _, p := range []float64{1e-17, 1e-30, 1e-100} {
		assert.InEpsilon(t, p, d.CDF(d.Quantile(p)), 1e-11, "%g", p)
		assert.InEpsilon(t, p, d.Survival(d.UpperQuantile(p)), 1e-11, "%g", p)
	}
}

func TestStudentTMoments(t *testing.T) {
	moments := func(dof float64) (mean, sd float64) {
		d, err := NewStudentT(dof, 3, 2)
		require.NoError(t, err)
		return d.Mean(), d.StdDev()
	}
	mean, sd := moments(1)
	assert.True(t, math.IsNaN(mean) && math.IsNaN(sd))
	mean, sd = moments(1.5)
	assert.Equal(t, []float64{3, math.Inf(1)}, []float64{mean, sd})
	mean, sd = moments(4)
	assert.Equal(t, 3.0, mean)
	assert.InEpsilon(t, 2*math.Sqrt2, sd, 1e-15)
}
