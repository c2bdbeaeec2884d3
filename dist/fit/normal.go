package fit

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"clampodds/dist"
)

// normalModel works in the mean and the logarithm of the standard deviation.
func normalModel() model {
	return model{
		family: Normal, parameters: []string{"mean", "sd"}, support: wholeLine,
		start: func(mean, sd float64) (working, unit []float64) {
			return []float64{mean, math.Log(sd)}, []float64{sd, math.Sqrt(0.5)}
		},
		natural: func(w []float64) []float64 { return []float64{w[0], math.Exp(w[1])} },
		spread:  func(p []float64) float64 { return p[1] },
		density: func(p []float64) density { return orNothing(dist.NewNormal(p[0], p[1])) },
	}
}

// orNothing is the density, or one that is 0 everywhere for parameters out of
// range, into which a search may stray.
func orNothing[D density](d D, err error) density {
	if err != nil {
		return nothing{}
	}
	return d
}

// nothing is the density of parameters that no distribution has: no reading is
// possible under them.
type nothing struct{}

func (nothing) LogDensity(float64) float64 { return math.Inf(-1) }
func (nothing) CDF(float64) float64        { return 0 }
func (nothing) Survival(float64) float64   { return 0 }

// studentQuantile returns the t that Student's t with dof degrees of freedom
// exceeds with probability tail < 1/2.
func studentQuantile(tail, dof float64) float64 {
	// t^2/(dof + t^2) is beta distributed (Abramowitz and Stegun 26.7.1).
	b := mathext.InvRegIncBeta(0.5, dof/2, 1-2*tail)
	return math.Sqrt(dof * b / (1 - b))
}

// chiSquareRoots returns the square roots of dof/chi2 at both ends of an
// interval for the true standard deviation: s times these.
func chiSquareRoots(dof, level float64) (low, high float64) {
	tail := (1 - level) / 2
	low = math.Sqrt(dof / 2 / mathext.GammaIncRegCompInv(dof/2, tail))
	high = math.Sqrt(dof / 2 / mathext.GammaIncRegInv(dof/2, tail))
	return low, high
}

// normalIntervals are the textbook intervals: mean -+ t s/sqrt(n) and
// s sqrt((n-1)/chi2).
func normalIntervals(n, mean, s, level float64) (ofMean, ofSD Range) {
	half := studentQuantile((1-level)/2, n-1) * s / math.Sqrt(n)
	low, high := chiSquareRoots(n-1, level)
	return Range{Low: mean - half, High: mean + half}, Range{Low: s * low, High: s * high}
}
