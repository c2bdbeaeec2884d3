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
	return misread(d.CDF, limit, u, (limit-high)/u, (limit-low)/u)
}

// ReadsAbove is the probability that it is above.
func ReadsAbove(d dist.Distribution, limit, u float64) float64 {
	low, high := d.Support()
	return misread(func(x float64) float64 { return d.Survival(2*limit - x) }, limit, u, (low-limit)/u, (high-limit)/u)
}

// misread is the mean of a share of the parts, which falls as the error z, in standard
// deviations, rises: whatever the part it is 1 up to from, and 0 beyond to.
func misread(share func(x float64) float64, limit, u, from, to float64) float64 {
	below := dist.NormalCDF(math.Max(-9, from))
	if !(math.Max(-9, from) < math.Min(9, to)) {
		return dist.NormalCDF(to)
	}
	return below + quad.Fixed(func(z float64) float64 { return share(limit-u*z) * math.Exp(dist.NormalLogDensity(z)) }, math.Max(-9, from), math.Min(9, to), 400, quad.Legendre{}, 1)
}
