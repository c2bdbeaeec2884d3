package calibrate

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
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

// Prediction is the distribution of a reading, noise included, of a further unit
// under the conditions of an observation.
type Prediction struct {
	Median float64
	// The interval is the central one of the problem's confidence.
	sim.Interval
}

// negligible weights change no digit of a prediction.
const negligible = 1e-12

// predict mixes the normal distributions of the observations over a grid.
func (p *Problem) predict(g *grid, u *surface) []Prediction {
	var weights []float64
	means, deviations := make([][]float64, len(p.Observations)), make([][]float64, len(p.Observations))
	m := make(moments, sizeOfMoments(len(p.Observations)))
	for i, z := range g.points {
		if g.weights[i] < negligible {
			continue
		}
		weights = append(weights, g.weights[i])
		u.at(z, m)
		at := len(p.Observations)
		for o, observation := range p.Observations {
			means[o] = append(means[o], m[o])
			deviations[o] = append(deviations[o], math.Sqrt(math.Max(m[at], 0)+observation.Noise*observation.Noise))
			at += len(p.Observations) - o // the next element of the diagonal
		}
	}
	list := make([]Prediction, len(p.Observations))
	for o := range list {
		list[o] = mixture{weights, means[o], deviations[o]}.prediction(p.Confidence)
	}
	return list
}

// mixture of normal distributions.
type mixture struct{ weights, means, deviations []float64 }

func (m mixture) prediction(confidence float64) Prediction {
	const far = 9 // standard deviations: nothing lies beyond
	low, high := math.Inf(1), math.Inf(-1)
	for i, mean := range m.means {
		low = math.Min(low, mean-far*m.deviations[i])
		high = math.Max(high, mean+far*m.deviations[i])
	}
	quantile := func(p float64) float64 { return m.quantile(p, low, high) }
	tail := (1 - confidence) / 2
	return Prediction{Median: quantile(0.5), Interval: sim.Interval{Low: quantile(tail), High: quantile(1 - tail)}}
}

// quantile searches between low and high by Newton steps, halved where they lead
// out.
func (m mixture) quantile(probability, low, high float64) float64 {
	const close = 1e-12 // of the way from low to high
	tolerance := close * (high - low)
	for x := low + (high-low)/2; ; {
		below, density := m.at(x)
		if below < probability {
			low = x
		} else {
			high = x
		}
		next := x - (below-probability)/density
		if !(next > low && next < high) {
			next = low + (high-low)/2
		}
		if math.Abs(next-x) <= tolerance {
			return next
		}
		x = next
	}
}

// at returns the probability of values up to x and the density there.
func (m mixture) at(x float64) (below, density float64) {
	for i, w := range m.weights {
		z := (x - m.means[i]) / m.deviations[i]
		below += w * dist.NormalCDF(z)
		density += w * math.Exp(dist.NormalLogDensity(z)) / m.deviations[i]
	}
	return below, density
}
