package fit

import (
	"math"

	"clampodds/dist"
)

// lognormalModel works in the logarithm of the median and the logarithm of
// sigma.
func lognormalModel() model {
	return model{
		family: Lognormal, parameters: []string{"median", "sigma_ln"}, support: positive,
		start: func(mean, sd float64) (working, unit []float64) {
			mean = math.Max(mean, sd/10)
			sigma := math.Sqrt(math.Log1p(sd * sd / mean / mean))
			return []float64{math.Log(mean) - sigma*sigma/2, math.Log(sigma)}, []float64{sigma, math.Sqrt(0.5)}
		},
		natural: func(w []float64) []float64 { return []float64{math.Exp(w[0]), math.Exp(w[1])} },
		spread:  func(p []float64) float64 { return p[0] * p[1] },
		density: func(p []float64) density { return orNothing(dist.NewLognormal(p[0], p[1])) },
	}
}
