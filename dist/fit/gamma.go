package fit

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// gammaModel works in the logarithm of the mean and the logarithm of 1/shape,
// which the readings tell apart.
func gammaModel() model {
	return model{
		family: Gamma, parameters: []string{"shape", "scale"}, support: positive,
		start: func(mean, sd float64) (working, unit []float64) {
			mean = math.Max(mean, sd/10)
			return []float64{math.Log(mean), 2 * math.Log(sd/mean)}, []float64{sd / mean, 1.4}
		},
		natural: func(w []float64) []float64 { return []float64{math.Exp(-w[1]), math.Exp(w[0] + w[1])} },
		spread:  func(p []float64) float64 { return math.Sqrt(p[0]) * p[1] },
		density: func(p []float64) density {
			if !(p[0] >= 0.05 && p[0] <= 1e5 && p[1] > 0) { // what dist.NewGamma takes
				return nothing{}
			}
			logGamma, _ := math.Lgamma(p[0])
			return gammaDensity{p[0], p[1], logGamma + p[0]*math.Log(p[1])}
		},
	}
}

// gammaDensity is dist.Gamma without its table of quantiles, which would be
// built anew at every step of a search.
type gammaDensity struct{ shape, scale, logNorm float64 }

func (g gammaDensity) LogDensity(x float64) float64 {
	if x < 0 {
		return math.Inf(-1)
	}
	return (g.shape-1)*math.Log(x) - x/g.scale - g.logNorm
}

func (g gammaDensity) CDF(x float64) float64 {
	return mathext.GammaIncReg(g.shape, math.Max(x, 0)/g.scale)
}

func (g gammaDensity) Survival(x float64) float64 {
	return mathext.GammaIncRegComp(g.shape, math.Max(x, 0)/g.scale)
}
