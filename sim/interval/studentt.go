package interval

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat"

	"clampodds/sim/result"
)

// StudentTUpper returns the t that Student's t with nu > 0 degrees of freedom
// exceeds with probability tail, 0 < tail < 1. nu may be real; infinite gives
// the normal quantile. Right to 1e-12 relative for tails from 1e-150 up, as long
// as the result stays below 1e150.
//
// Special cases are:
//
//	StudentTUpper(0.5, nu) = 0
//	StudentTUpper(tail, nu) = -StudentTUpper(1-tail, nu)
func StudentTUpper(tail, nu float64) float64 {
	mustFreedom(nu)
	mustLevel(tail)
	switch {
	case math.IsInf(nu, 1):
		return normalUpper(tail)
	case tail == 0.5:
		return 0
	case tail > 0.5:
		return -StudentTUpper(1-tail, nu)
	}
	// With s = t²/nu, 1/(1+s) is the beta quantile and ln s its negative logit.
	return math.Sqrt(nu * math.Exp(-betaLogit(nu/2, 0.5, 2*tail)))
}

func mustFreedom(nu float64) {
	if !(nu > 0) {
		panic(fmt.Sprintf("interval: %v degrees of freedom", nu))
	}
}

// NoncentralT returns P(T <= t) for T = (Z + delta)/s, Z a standard normal and s an
// independent chi_freedom/sqrt(freedom): the distance of a sample's mean from a limit in
// standard deviations of the sample, times a root. freedom is at least 1. The other tail
// is NoncentralT(-t, -delta, freedom).
//
// Source: ∫ Φ(t s - delta) f(s) ds over the distribution of s; right to 1e-12.
func NoncentralT(t, delta, freedom float64) float64 {
	return spreadOf(freedom).below(t, delta)
}

// NoncentralTQuantile returns the t with NoncentralT(t, delta, freedom) = probability,
// in (0, 1), for |t| up to 1e7.
func NoncentralTQuantile(probability, delta, freedom float64) float64 {
	mustLevel(probability)
	s := spreadOf(freedom)
	return newtonIncreasing(func(t float64) (value, slope float64) {
		return s.below(t, delta) - probability, s.density(t, delta)
	}, -1e7, 1e7, delta)
}

// spread is the distribution of a sample's standard deviation over the true one, as nodes of
// a quadrature with their shares.
type spread struct{ at, share []float64 }

func spreadOf(freedom float64) spread {
	mustFreedom(freedom)
	const nodes = 500
	s := spread{make([]float64, nodes), make([]float64, nodes)}
	// Outside 1 ± 9/sqrt(nu) the density holds less than 1e-17.
	quad.Legendre{}.FixedLocations(s.at, s.share, math.Max(0, 1-9/math.Sqrt(freedom)), 1+9/math.Sqrt(freedom))
	// f(s) = 2 (nu/2)^(nu/2)/Γ(nu/2) s^(nu-1) exp(-nu s²/2), without its large terms.
	scale := math.Sqrt(freedom/math.Pi) * math.Exp(-stirlingError(freedom/2))
	for i, x := range s.at {
		s.share[i] *= scale / x * math.Exp(-freedom/2*deviance((x-1)*(x+1), x*x))
	}
	return s
}

func (s spread) below(t, delta float64) (p float64) {
	for i, x := range s.at {
		p += s.share[i] * math.Erfc((delta-t*x)/math.Sqrt2) / 2
	}
	return p
}

func (s spread) density(t, delta float64) (f float64) {
	for i, x := range s.at {
		f += s.share[i] * x * math.Exp(-(t*x-delta)*(t*x-delta)/2)
	}
	return f / math.Sqrt(2*math.Pi)
}

// MeanInterval is the mean of R independent estimates with its interval.
type MeanInterval struct {
	Mean          float64
	StandardError float64 // s/sqrt(R), s the standard deviation with R-1
	result.Interval
	Level float64
	Count int // R
}

// Replicates returns the mean of independent replicate estimates of one
// quantity and its Student-t interval, mean ± t s/sqrt(R) with R-1 degrees of
// freedom. It is the valid interval for a mean, a probability or a quantile
// from independently randomised Latin hypercubes or quasi-Monte Carlo sets;
// use R >= 10 (L'Ecuyer & Lemieux 2002; Owen, arXiv:2501.00150).
//
// One estimate alone gives an infinite interval and a NaN standard error. A
// NaN or infinite estimate gives NaN or infinite results. No estimate at all
// panics. estimates is not changed.
func Replicates(estimates []float64, level float64) MeanInterval {
	mustLevel(level)
	count := len(estimates)
	if count == 0 {
		panic(fmt.Sprintf("interval: no replicates for level %v", level))
	}
	r := MeanInterval{Level: level, Count: count, Interval: result.Interval{Low: math.Inf(-1), High: math.Inf(1)}}
	if count == 1 {
		r.Mean, r.StandardError = estimates[0], math.NaN()
		return r
	}
	mean, deviation := stat.MeanStdDev(estimates, nil)
	r.Mean, r.StandardError = mean, stat.StdErr(deviation, float64(count))
	half := StudentTUpper((1-level)/2, float64(count-1)) * r.StandardError
	r.Low, r.High = mean-half, mean+half
	return r
}
