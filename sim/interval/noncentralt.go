package interval

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// NoncentralT returns P(T <= t) for T = (Z + delta)/s, Z a standard normal and s an
// independent chi_freedom/sqrt(freedom): the distance of a sample's mean from a limit in
// standard deviations of the sample, times a root. freedom is at least 1. The other tail
// is NoncentralT(-t, -delta, freedom).
//
// Source: ∫ Φ(t s - delta) f(s) ds over the distribution of s; right to 1e-12.
func NoncentralT(t, delta, freedom float64) float64 {
	mustFreedom(freedom)
	// f(s) = 2 (nu/2)^(nu/2)/Γ(nu/2) s^(nu-1) exp(-nu s²/2), without its large terms.
	scale := math.Sqrt(freedom/math.Pi) * math.Exp(-stirlingError(freedom/2))
	// Outside 1 ± 9/sqrt(nu) the density of s holds less than 1e-17.
	low, high := math.Max(0, 1-9/math.Sqrt(freedom)), 1+9/math.Sqrt(freedom)
	return quad.Fixed(func(s float64) float64 {
		density := scale / s * math.Exp(-freedom/2*deviance((s-1)*(s+1), s*s))
		return math.Erfc((delta-t*s)/math.Sqrt2) / 2 * density
	}, low, high, 500, quad.Legendre{}, 1)
}

// NoncentralTQuantile returns the t with NoncentralT(t, delta, freedom) = probability,
// in (0, 1), for |t| up to 1e5.
func NoncentralTQuantile(probability, delta, freedom float64) float64 {
	mustLevel(probability)
	return bisectIncreasing(func(t float64) float64 { return NoncentralT(t, delta, freedom) - probability }, -bracket, bracket)
}
