package decide

import (
	"math"

	"clampodds/dist"
	"clampodds/sim"
)

// normalGuess is the main body of an output's values, taken as normal or, where all of
// it is positive, as lognormal. It is a guess where to look and no estimate.
type normalGuess struct {
	middle, spread float64 // on the axis of scale
	edge           float64 // the far percentile
	logarithm      bool
	below          bool
}

// bulkTail is the share of values beyond the second percentile that the spread is
// taken from.
const guessTail = 1e-3

// bulkOf looks at the median and at the tail on the side of the requirement.
func guessNormal(q sim.Quantity, requirement sim.Requirement) normalGuess {
	b := normalGuess{below: requirement.Below}
	far := 1 - guessTail
	if b.below {
		far = guessTail
	}
	middle := q.Percentile(0.5).Value
	b.edge = q.Percentile(far).Value
	lowest := q.Percentile(guessTail).Value
	b.logarithm = lowest > 0 && requirement.Limit > 0
	b.middle = b.scale(middle)
	b.spread = (b.scale(b.edge) - b.middle) / dist.NormalQuantile(1-guessTail)
	return b
}

// scale is the axis on which the body is normal, exceedance upward.
func (b normalGuess) scale(y float64) float64 {
	if b.logarithm {
		y = math.Log(y)
	}
	if b.below {
		return -y
	}
	return y
}

// score is how many standard deviations the value y is from the middle; NaN when
// there are no values.
func (b normalGuess) score(y float64) float64 { return (b.scale(y) - b.middle) / b.spread }

// at is the value so many standard deviations from the middle.
func (b normalGuess) at(score float64) float64 {
	y := b.middle + score*b.spread
	if b.below {
		y = -y
	}
	if b.logarithm {
		return math.Exp(y)
	}
	return y
}
