package fit

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
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
		density: func(p []float64) density {
			if !(p[0] >= 0.05 && p[0] <= 1e5 && p[1] > 0) { // what dist.NewGamma takes
				return nothing{}
			}
			return gammaDensity{distuv.Gamma{Alpha: p[0], Beta: 1 / p[1]}}
		},
	}
}

// gammaDensity is dist.Gamma without its table of quantiles, which would be
// built anew at every step of a search.
type gammaDensity struct{ distuv.Gamma }

func (g gammaDensity) LogDensity(x float64) float64 { return g.LogProb(x) }
