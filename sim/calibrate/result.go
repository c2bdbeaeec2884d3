package calibrate

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"clampodds/sim"
)

// Result is what the readings say.
type Result struct {
	Confidence float64
	// Marginals has one for each parameter, in the order of the problem.
	Marginals []*Marginal
	// Correlation of the normal scores of the parameters after the readings.
	Correlation *mat.SymDense
	// LogEvidence is the natural logarithm of the density of the readings under the
	// prior, in the units of the observations.
	LogEvidence float64
	// Comparisons has one for each observation.
	Comparisons []Comparison
	Budget      Budget
	Surprise    Surprise
	Trends      []Trend
	// Draws of the variables that were used, Unusable the share left out because
	// they could not have been observed, Points the points of the grid.
	Draws    int
	Unusable float64
	Points   int
	Warnings []sim.Warning
}

// Comparison holds one observation against what was to be expected.
type Comparison struct {
	// Before and After the readings.
	Before, After Prediction
	// Residual is the observation less its mean at the posterior mean of the
	// parameters, Standardised over the standard deviation of variables and noise.
	Residual, Standardised float64
}

// Budget is where the spread of a reading at known parameters comes from: root
// mean square over the observations, at the posterior mean, of the standard
// deviations.
type Budget struct {
	Noise, Setup, Unit, Common float64
	// Nonlinear is the share of the variance that is not linear in the variables;
	// it is counted to the unit. Skewness is the largest of an observation over the
	// variables, either way; a normal distribution has 0.
	Nonlinear, Skewness float64
}

// budget works out the spread at the posterior mean.
func (v *variation) budget(centre []float64) Budget {
	s := v.at(centre)
	n := float64(len(s.mean))
	b := Budget{Skewness: s.skewness}
	rest := 0.0
	for i, o := range v.problem.Observations {
		b.Noise += o.Noise * o.Noise / n
		b.Common += (s.linear[Common-1].At(i, i) + s.linear[PerLot-1].At(i, i)) / n
		b.Unit += (s.linear[PerUnit-1].At(i, i) + s.rest.At(i, i)) / n
		b.Setup += s.linear[PerSetup-1].At(i, i) / n
		rest += s.rest.At(i, i) / n
	}
	if all := b.Common + b.Unit + b.Setup; all > 0 {
		b.Nonlinear = rest / all
	}
	for _, x := range []*float64{&b.Noise, &b.Setup, &b.Unit, &b.Common} {
		*x = math.Sqrt(*x)
	}
	return b
}

// noiseShare is the share of the noise in the variance of a reading.
func (b Budget) noiseShare() float64 {
	noise := b.Noise * b.Noise
	return noise / (noise + b.Setup*b.Setup + b.Unit*b.Unit + b.Common*b.Common)
}

// residuals sets those of the comparisons at the posterior mean.
func (d *density) residuals(list []Comparison, centre []float64) {
	d.surface.at(centre, d.moments)
	d.moments.withNoise(d.problem.Observations, d.covariance)
	for o := range list {
		list[o].Residual = d.values[o] - d.moments[o]
		list[o].Standardised = list[o].Residual / math.Sqrt(d.covariance.At(o, o))
	}
}

// scoreCorrelation turns a covariance into correlations.
func scoreCorrelation(covariance *mat.SymDense) *mat.SymDense {
	n := covariance.SymmetricDim()
	c := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			c.SetSym(i, j, covariance.At(i, j)/math.Sqrt(covariance.At(i, i)*covariance.At(j, j)))
		}
	}
	return c
}
