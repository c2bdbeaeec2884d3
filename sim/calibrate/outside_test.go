package calibrate

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
	"clampodds/reports/validation"
)

// conjugate is a problem with a closed answer: everything linear and normal. The
// readings are of two units, two set-ups each, one of them read twice.
type conjugate struct {
	Problem
	slopes   []float64
	spread   [3]float64 // of the variables by sharing
	mean, sd float64    // of the prior
}

func newConjugate(t testing.TB) *conjugate {
	prior, err := dist.NewNormal(1.2, 0.5)
	require.NoError(t, err)
	c := &conjugate{slopes: []float64{1, 2, 1.5, 3, 0.5}, spread: [3]float64{0.3, 0.2, 0.25}, mean: 1.2, sd: 0.5}
	c.Problem = Problem{
		Parameters: []Parameter{{Name: "slope", Prior: prior}},
		Variables:  []Variable{{"lot", Common}, {"unit", PerUnit}, {"set-up", PerSetup}},
		Observations: []Observation{
			{Value: 1.1, Noise: 0.1, Unit: 1, Setup: 1},
			{Value: 1.9, Noise: 0.1, Unit: 1, Setup: 1},
			{Value: 1.7, Noise: 0.1, Unit: 1, Setup: 2},
			{Value: 3.3, Noise: 0.2, Unit: 2, Setup: 3},
			{Value: 0.2, Noise: 0.2, Unit: 2, Setup: 4},
		},
		Model: func(scores [][]float64) Response {
			return func(parameters []float64, y [][]float64) {
				for o := range y {
					for k := range y[o] {
						y[o][k] = parameters[0] * c.slopes[o]
						for v, row := range scores {
							y[o][k] += c.spread[v] * row[k]
						}
					}
				}
			}
		},
		Confidence: 0.95, Seed: 3,
	}
	return c
}

// covariance of the readings at a known parameter.
func (c *conjugate) covariance() *mat.SymDense {
	n := len(c.Observations)
	v := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			a, b := c.Observations[i], c.Observations[j]
			x := 0.0
			if c.Variables[0].Sharing == Common || a.Lot == b.Lot {
				x = c.spread[0] * c.spread[0]
			}
			if a.Unit == b.Unit {
				x += c.spread[1] * c.spread[1]
			}
			if a.Setup == b.Setup {
				x += c.spread[2] * c.spread[2]
			}
			if i == j {
				x += a.Noise * a.Noise
			}
			v.SetSym(i, j, x)
		}
	}
	return v
}

// exact is the posterior N(m, s²), 1/s² = 1/s0² + aᵀV^-1 a, and the evidence
// N(y; a m0, V + a aᵀ s0²).
func (c *conjugate) exact(t testing.TB) (mean, sd, logEvidence float64) {
	n := len(c.Observations)
	a, y := mat.NewVecDense(n, c.slopes), mat.NewVecDense(n, nil)
	prior := make([]float64, n)
	for o, q := range c.Observations {
		y.SetVec(o, q.Value)
		prior[o] = c.mean * c.slopes[o]
	}
	v := c.covariance()
	var inverse, all mat.Dense
	require.NoError(t, inverse.Inverse(v))
	precision := 1/(c.sd*c.sd) + mat.Inner(a, &inverse, a)
	mean = (c.mean/(c.sd*c.sd) + mat.Inner(a, &inverse, y)) / precision
	all.Outer(c.sd*c.sd, a, a)
	all.Add(&all, v)
	r := mat.NewVecDense(n, nil)
	r.SubVec(y, mat.NewVecDense(n, prior))
	require.NoError(t, inverse.Inverse(&all))
	logEvidence = -(mat.Inner(r, &inverse, r) + math.Log(mat.Det(&all)) + float64(n)*math.Log(2*math.Pi)) / 2
	return mean, 1 / math.Sqrt(precision), logEvidence
}

func TestOutsideCalibration(t *testing.T) {
	validation.Check(t, "Calibration", append(conjugateCases(t), quadratureCases(t)...))
}

func conjugateCases(t *testing.T) []validation.Case {
	c := newConjugate(t)
	r, err := c.Solve(context.Background())
	require.NoError(t, err)
	mean, sd, evidence := c.exact(t)
	m := r.Marginals[0]
	gotMean, gotSD := m.MeanStdDev()
	// A further unit under the conditions of reading 4.
	predicted := math.Sqrt(9*sd*sd + 0.3*0.3 + 0.2*0.2 + 0.25*0.25 + 0.2*0.2)
	add := func(name string, want, got float64) validation.Case {
		return validation.Case{
			Name: "linear and normal, 5 readings of 2 units: " + name, Source: "conjugate normal posterior, Gelman et al., Bayesian Data Analysis, sec. 3.5 and 14.2",
			Standing: validation.Computed, Expected: want, Obtained: got, Relative: 1e-6, Reason: "closed form; 2e-9 of the probability lies outside the grid",
		}
	}
	return []validation.Case{
		add("posterior mean", mean, gotMean),
		add("posterior standard deviation", sd, gotSD),
		add("2.5 % quantile", mean-1.959963984540054*sd, m.Quantile(0.025)),
		add("97.5 % quantile", mean+1.959963984540054*sd, m.Quantile(0.975)),
		add("density at the mean", 1/(sd*math.Sqrt(2*math.Pi)), m.Density(mean)),
		add("logarithm of the evidence", evidence, r.LogEvidence),
		add("prediction for another unit, median", 3*mean, r.Comparisons[3].After.Median),
		add("prediction for another unit, upper end", 3*mean+1.959963984540054*predicted, r.Comparisons[3].After.High),
	}
}

// The units of two lots do not share what is the lot's: closed form as above. A unit of two lots is refused.
func TestReadingsOfTwoLots(t *testing.T) {
	c := newConjugate(t)
	_, together, _ := c.exact(t)
	c.Variables[0].Sharing = PerLot
	for i := range c.Observations {
		c.Observations[i].Lot = c.Observations[i].Unit
	}
	r, err := c.Solve(context.Background())
	require.NoError(t, err)
	mean, sd, evidence := c.exact(t)
	gotMean, gotSD := r.Marginals[0].MeanStdDev()
	assert.InEpsilon(t, mean, gotMean, 1e-6)
	assert.InEpsilon(t, sd, gotSD, 1e-6)
	assert.InEpsilon(t, evidence, r.LogEvidence, 1e-6)
	assert.Less(t, sd, together, "two lots tell more")
	c.Observations[1].Lot = 2
	_, err = c.Solve(context.Background())
	assert.ErrorContains(t, err, "unit 1 is of lot 1 and of lot 2")
}

// Before the readings a reading of a further unit is normal with mean a m0 and variance a² (s0² + the variables') + noise²:
// the sum of normal variables, exact. Here the variables weigh on each reading as its slope does, so that no
// reading has the variance of another; 1e-6 is what the grid leaves.
func TestPredictionOfEveryReading(t *testing.T) {
	c := newConjugate(t)
	alike := c.Model
	c.Model = func(scores [][]float64) Response {
		evaluate := alike(scores)
		return func(parameters []float64, y [][]float64) {
			evaluate(parameters, y)
			for o := range y {
				for k := range y[o] {
					level := parameters[0] * c.slopes[o]
					y[o][k] = level + (y[o][k]-level)*c.slopes[o]
				}
			}
		}
	}
	r, err := c.Solve(context.Background())
	require.NoError(t, err)
	for o, slope := range c.slopes {
		variables := floats.Norm(c.spread[:], 2)
		sd := math.Hypot(slope*math.Hypot(c.sd, variables), c.Observations[o].Noise)
		known := math.Hypot(slope*variables, c.Observations[o].Noise) // of a reading, were the parameter known
		assert.InEpsilon(t, r.Comparisons[o].Residual/known, r.Comparisons[o].Standardised, 1e-6, "reading %d", o)
		before := r.Comparisons[o].Before
		assert.InEpsilon(t, slope*c.mean, before.Median, 1e-6, "reading %d", o)
		assert.InEpsilon(t, slope*c.mean+1.959963984540054*sd, before.High, 1e-6, "reading %d", o)
	}
}
