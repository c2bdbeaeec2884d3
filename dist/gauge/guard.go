package gauge

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"

	"clampodds/dist"
)

// GuardFactor is the default of ISO 14253-1 for one limit: of parts on the limit 5 % are accepted, where the
// uncertainty is known.
const GuardFactor = 1.65

// accepted is the share of the parts on a limit that a guard band lets through.
const accepted = 0.05

// GuardFactorOf is what stands for GuardFactor where the uncertainty is an estimate with so many degrees of freedom: the
// quantile of Student's t, so that of parts on the limit 5 % are accepted all the same.
func GuardFactorOf(freedom float64) float64 {
	if math.IsInf(freedom, 1) {
		return GuardFactor
	}
	x := mathext.InvRegIncBeta(freedom/2, 0.5, 2*accepted)
	return math.Sqrt(freedom * (1 - x) / x)
}

// WronglyAccepted is the probability that a part exactly on a limit is accepted by a reading,
// with a guard band of factor (>= 0) times an uncertainty with so many degrees of freedom. It is the
// most for any part that does not conform.
func WronglyAccepted(factor, freedom float64) float64 {
	if math.IsInf(freedom, 1) {
		return dist.NormalSurvival(factor)
	}
	return mathext.RegIncBeta(freedom/2, 0.5, freedom/(freedom+factor*factor)) / 2 // Student's t, factor >= 0
}

// ReadsBelow is the probability that a reading is below a limit, of a part drawn from d with
// an error of standard deviation u > 0.
func ReadsBelow(d dist.Distribution, limit, u float64) float64 {
	low, high := d.Support()
	// Errors outside leave the reading above (F = 0) or below (F = 1) whatever the part.
	from, to := math.Max(-9, (limit-high)/u), math.Min(9, (limit-low)/u)
	below := dist.NormalCDF(from)
	if !(from < to) {
		return dist.NormalCDF((limit - low) / u)
	}
	return below + quad.Fixed(func(z float64) float64 { return d.CDF(limit-u*z) * math.Exp(dist.NormalLogDensity(z)) }, from, to, 400, quad.Legendre{}, 1)
}
