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

// errs is the law of the error of one reading: normal, with a variance that is known in part and for the rest a sum of
// mean squares whose expectations are as open as the study leaves them. Each is its mean square times freedom/χ², all of them
// independent (the fiducial distribution, which for one mean square makes the error Student's t).
type errs struct {
	known   float64
	squares []weighted
}

// variances lists the values that the variance may have, with their probabilities: the mean squares at normal scores three
// quarters apart, half as far where one degree of freedom makes its tail heavy (4 digits of Student's t).
func (e errs) variances() (values, weights []float64) {
	values, weights = []float64{e.known}, []float64{1}
	for _, s := range e.squares {
		half, step := float64(s.square.Freedom)/2, 0.75
		if s.square.Freedom == 1 {
			step /= 2
		}
		var moreValues, moreWeights []float64
		for score := -4.5; score <= 4.5; score += step {
			term := s.coefficient * s.square.MeanSquare * half / mathext.GammaIncRegInv(half, dist.NormalCDF(score))
			weight := step * math.Exp(dist.NormalLogDensity(score))
			for j := range values {
				moreValues, moreWeights = append(moreValues, values[j]+term), append(moreWeights, weights[j]*weight)
			}
		}
		values, weights = moreValues, moreWeights
	}
	return values, weights
}

// WronglyAccepted is the probability that a part exactly on a limit is accepted by a reading with a guard band of factor
// (>= 0) times the uncertainty, which is an estimate. It is the most for any part that does not conform.
func (u Uncertainty) WronglyAccepted(factor float64) float64 {
	values, weights := u.errs.variances()
	return beyond(factor*u.Process, values, weights)
}

// beyond is the probability of an error above x.
func beyond(x float64, variances, weights []float64) float64 {
	p := 0.0
	for i, v := range variances {
		if v > 0 {
			p += weights[i] * dist.NormalSurvival(x/math.Sqrt(v))
		}
	}
	return p
}

// GuardFactor is what stands for the constant where the uncertainty is an estimate: of parts on the limit 5 % are accepted
// all the same, fewer where several mean squares make the uncertainty and few operators one of them (the coverage suite says how many).
func (u Uncertainty) GuardFactor() float64 {
	values, weights := u.errs.variances()
	low, high := 0., 1000. // 6.31 of one mean square with one degree of freedom
	for high-low > 1e-9*high {
		if middle := (low + high) / 2; beyond(middle*u.Process, values, weights) > accepted {
			low = middle
		} else {
			high = middle
		}
	}
	return high
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
