package fit

import (
	"math"

	"clampodds/dist"
)

// halfNormalModel and rayleighModel work in the logarithm of the scale, of which the root of the
// mean square is a multiple.
func halfNormalModel() model {
	m := scaleModel(HalfNormal, 1, math.Sqrt(0.5))
	m.density = func(p []float64) density { return orNothing(dist.NewHalfNormal(p[0])) }
	return m
}

func rayleighModel() model {
	m := scaleModel(Rayleigh, math.Sqrt2, 0.5)
	m.density = func(p []float64) density { return orNothing(dist.NewRayleigh(p[0])) }
	return m
}

func scaleModel(family Family, multiple, unit float64) model {
	return model{
		family: family, parameters: []string{"scale"}, support: positive,
		start: func(mean, sd float64) (working, units []float64) {
			return []float64{math.Log(math.Hypot(mean, sd) / multiple)}, []float64{unit}
		},
		natural: func(w []float64) []float64 { return []float64{math.Exp(w[0])} },
		spread:  func(p []float64) float64 { return p[0] },
	}
}
