package fit

import (
	"math"

	"clampodds/dist"
)

// halfNormalModel works in the logarithm of the scale.
func halfNormalModel() model {
	return model{
		family: HalfNormal, parameters: []string{"scale"}, support: positive,
		start: func(mean, sd float64) (working, unit []float64) {
			return []float64{math.Log(math.Hypot(mean, sd))}, []float64{math.Sqrt(0.5)}
		},
		natural: func(w []float64) []float64 { return []float64{math.Exp(w[0])} },
		spread:  func(p []float64) float64 { return p[0] },
		density: func(p []float64) density { return orNothing(dist.NewHalfNormal(p[0])) },
	}
}
