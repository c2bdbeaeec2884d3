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
		taken: []Range{{Low: 0.1, High: 1e4}, positive},
		start: func(mean, sd float64) (working, unit []float64) {
			mean = math.Max(mean, sd/10)
			return []float64{math.Log(mean), 2 * math.Log(sd/mean)}, []float64{sd / mean, 1.4}
		},
		natural: func(w []float64) []float64 { return []float64{math.Exp(-w[1]), math.Exp(w[0] + w[1])} },
		spread:  func(p []float64) float64 { return math.Sqrt(p[0]) * p[1] },
		density: func(p []float64) density {
			if !(p[0] > 1e-9 && p[0] < 1e9 && p[1] > 0) {
				return nothing{}
			}
			return gammaDensity{p[0], p[1], gammaRest(p[0])}
		},
	}
}

// gammaDensity is dist.Gamma without its table of quantiles, which would be
// built anew at every step of a search.
type gammaDensity struct{ shape, scale, rest float64 }

// LogDensity is shape (ln r - r + 1) + rest - ln x with r = x/mean, in which
// nothing large cancels for narrow distributions.
func (g gammaDensity) LogDensity(x float64) float64 {
	if !(x > 0) { // the end itself is no reading
		return math.Inf(-1)
	}
	return g.shape*logExcess(x/(g.shape*g.scale)) + g.rest - math.Log(x)
}

// logExcess is ln r - r + 1.
func logExcess(r float64) float64 {
	if r < 0.5 {
		return math.Log(r) - r + 1
	}
	return math.Log1p(r-1) - (r - 1)
}

// gammaRest is a ln a - a - ln Gamma(a); for large a from Stirling's series
// (Abramowitz and Stegun 6.1.41), to 1e-15 from 20 on.
func gammaRest(a float64) float64 {
	if a < 20 {
		logGamma, _ := math.Lgamma(a)
		return a*math.Log(a) - a - logGamma
	}
	r := 1 / (a * a)
	return 0.5*math.Log(a/(2*math.Pi)) - (1./12-r*(1./360-r*(1./1260-r*(1./1680-r/1188))))/a
}

// CDF is the regularised incomplete gamma function, 0 below 0.
func (g gammaDensity) CDF(x float64) float64 {
	return mathext.GammaIncReg(g.shape, math.Max(x, 0)/g.scale)
}

func (g gammaDensity) Survival(x float64) float64 {
	return mathext.GammaIncRegComp(g.shape, math.Max(x, 0)/g.scale)
}
