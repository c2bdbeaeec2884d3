package fit

import (
	"math"

	"clampodds/dist"
)

// gumbelModel works in the location and the logarithm of the scale.
func gumbelModel() model {
	return model{
		family: Gumbel, parameters: []string{"location", "scale"}, support: wholeLine,
		start: func(mean, sd float64) (working, unit []float64) {
			scale := sd * math.Sqrt(6) / math.Pi
			return []float64{mean - 0.5772*scale, math.Log(scale)}, []float64{scale, 0.8}
		},
		natural: func(w []float64) []float64 { return []float64{w[0], math.Exp(w[1])} },
		spread:  func(p []float64) float64 { return p[1] },
		density: func(p []float64) density { return orNothing(dist.NewGumbel(p[0], p[1])) },
	}
}
