package calibrate

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
	"clampodds/reports/validation"
)

func lognormal(t testing.TB, median, sigma float64) dist.Distribution {
	d, err := dist.NewLognormal(median, sigma)
	require.NoError(t, err)
	return d
}

// series is the response 1 + 2/θ, a resistance in series with one that the
// parameter divides, under noise alone.
func series(t testing.TB) *Problem {
	p := &Problem{
		Parameters: []Parameter{{Name: "factor", Prior: lognormal(t, 1, 0.35)}},
		Model: func([][]float64) Response {
			return func(parameters []float64, y [][]float64) {
				for o := range y {
					y[o][0] = 1 + 2*float64(1+o)/parameters[0]
				}
			}
		},
		Confidence: 0.95,
	}
	for _, y := range []float64{3.9, 6.2} {
		p.Observations = append(p.Observations, Observation{Value: y, Noise: 0.8})
	}
	return p
}

// byQuadrature integrates likelihood times prior in the parameter itself.
func byQuadrature(p *Problem) (mean, sd, median float64, below func(x float64) float64) {
	density := func(x float64) float64 {
		log := p.Parameters[0].Prior.LogDensity(x)
		for o, q := range p.Observations {
			log += dist.NormalLogDensity((q.Value-1-2*float64(1+o)/x)/q.Noise) - math.Log(q.Noise)
		}
		return math.Exp(log)
	}
	integral := func(f func(x float64) float64, to float64) float64 {
		const cells = 200
		sum := 0.0
		for i := range cells {
			sum += quad.Fixed(f, to*float64(i)/cells+1e-9, to*float64(i+1)/cells, 20, quad.Legendre{}, 0)
		}
		return sum
	}
	all := integral(density, 8)
	mean = integral(func(x float64) float64 { return x * density(x) }, 8) / all
	sd = math.Sqrt(integral(func(x float64) float64 { return (x - mean) * (x - mean) * density(x) }, 8) / all)
	below = func(x float64) float64 { return integral(density, x) / all }
	median = bisect(0.1, 8, func(x float64) bool { return below(x) < 0.5 })
	return mean, sd, median, below
}

func quadratureCases(t *testing.T) []validation.Case {
	p := series(t)
	r, err := p.Solve(context.Background())
	require.NoError(t, err)
	mean, sd, median, below := byQuadrature(p)
	m := r.Marginals[0]
	gotMean, gotSD := m.MeanStdDev()
	add := func(name string, want, got float64) validation.Case {
		return validation.Case{
			Name: "y = 1 + 2 j/θ, lognormal prior, 2 readings: " + name, Source: "Gauss-Legendre quadrature of likelihood times prior over θ, 4000 points",
			Standing: validation.Computed, Expected: want, Obtained: got, Relative: 1e-5, Reason: "the response is interpolated between 13 points",
		}
	}
	return []validation.Case{
		add("posterior mean", mean, gotMean),
		add("posterior standard deviation", sd, gotSD),
		add("posterior median", median, m.Quantile(0.5)),
		add("probability below the prior's median", below(1), m.below(dist.NormalScore(m.Prior, 1))),
		add("level of the 95 % interval", 0.95, below(m.Quantile(0.975))-below(m.Quantile(0.025))),
	}
}

// Two parameters of which the readings see the product only: the posterior of
// their logarithms is a thin ridge, normal, known in closed form.
func TestRidgeOfTwoAndThreeParametersIsExact(t *testing.T) {
	for n := 2; n <= 3; n++ {
		p := &Problem{Confidence: 0.9, Observations: []Observation{{Value: 0.4, Noise: 0.02}, {Value: 0.35, Noise: 0.03}}}
		sigma := []float64{0.3, 0.2, 0.1}[:n]
		variance := 0.0
		for i, s := range sigma {
			p.Parameters = append(p.Parameters, Parameter{Name: string(rune('a' + i)), Prior: lognormal(t, 1, s)})
			variance += s * s
		}
		p.Model = func([][]float64) Response {
			return func(x []float64, y [][]float64) {
				for o := range y {
					for _, v := range x {
						y[o][0] += math.Log(v)
					}
				}
			}
		}
		r, err := p.Solve(context.Background())
		require.NoError(t, err)
		// s = Σ ln x ~ N(0, variance) before, read as 0.4 ± 0.02 and 0.35 ± 0.03.
		precision := 1/variance + 1/0.0004 + 1/0.0009
		sum := (0.4/0.0004 + 0.35/0.0009) / precision
		for i, s := range sigma {
			share := s * s / variance // of a deviation of the sum
			mean, sd := r.Marginals[i].LogMeanStdDev()
			assert.InEpsilon(t, share*sum, mean, 1e-6, "%d parameters, mean %d", n, i)
			assert.InEpsilon(t, math.Sqrt(s*s*(1-share)+share*share/precision), sd, 1e-6, "%d parameters, sd %d", n, i)
		}
		a, b := sigma[0], sigma[1]
		left := a * b * (1/precision - variance) / (variance * variance) // Σ_ab/(σ_a σ_b)
		want := left / math.Sqrt((1-a*a/variance+a*a/(variance*variance*precision))*(1-b*b/variance+b*b/(variance*variance*precision)))
		assert.InEpsilon(t, want, r.Correlation.At(0, 1), 1e-6)
	}
}

// A prior correlation of 0.6 between two parameters carries a reading of one of
// them over to the other, and a correlation of the inputs to a thin ellipse.
func TestPriorCorrelationCarriesOver(t *testing.T) {
	a, err := dist.NewNormal(0, 1)
	require.NoError(t, err)
	p := &Problem{
		Parameters:  []Parameter{{"read", a}, {"not read", a}},
		Correlation: mat.NewSymDense(2, []float64{1, 0.6, 0.6, 1}), Confidence: 0.95,
		Observations: []Observation{{Value: 2, Noise: 0.5}},
		Model: func([][]float64) Response {
			return func(x []float64, y [][]float64) { y[0][0] = x[0] }
		},
	}
	r, err := p.Solve(context.Background())
	require.NoError(t, err)
	mean, sd := r.Marginals[0].MeanStdDev()
	assert.InEpsilon(t, 2/1.25, mean, 1e-6)
	assert.InEpsilon(t, math.Sqrt(0.2), sd, 1e-6)
	mean, sd = r.Marginals[1].MeanStdDev()
	assert.InEpsilon(t, 0.6*2/1.25, mean, 1e-6)
	assert.InEpsilon(t, math.Sqrt(1-0.36+0.36*0.2), sd, 1e-6)
}
