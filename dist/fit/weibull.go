package fit

import (
	"math"

	"clampodds/dist"
)

// weibullModel works in the logarithm of the scale and the logarithm of 1/shape,
// the location and scale of the logarithm of a reading. The lower end is 0: with
// a free one the likelihood has no maximum.
func weibullModel() model {
	return model{
		family: Weibull, parameters: []string{"shape", "scale"}, support: positive,
		start: func(mean, sd float64) (working, unit []float64) {
			mean = math.Max(mean, sd/10)
			inverse := math.Pow(sd/mean, 1.086) // of the shape, near enough
			return []float64{math.Log(mean / math.Gamma(1+inverse)), math.Log(inverse)}, []float64{inverse, 0.8}
		},
		natural: func(w []float64) []float64 { return []float64{math.Exp(-w[1]), math.Exp(w[0])} },
		spread:  func(p []float64) float64 { return p[1] / p[0] },
		density: func(p []float64) density { return orNothing(dist.NewWeibull(p[0], p[1], 0)) },
	}
}
