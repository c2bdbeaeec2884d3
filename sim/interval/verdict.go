package interval

import (
	"fmt"

	"clampodds/sim/result"
)

// Judge decides whether the change of the failure probability stays below
// margin, 0 < margin < 1, fixed before the run: Met when the upper bound is at
// or below it, NotMet when the lower bound is above it. level >= 1/2 is the
// confidence of either verdict; of several looks at growing counts each has its
// part of 1 - level (Bonferroni).
//
// The bounds are those of ScoreUpper and ScoreLower. The requirement on the
// new failure probability itself, if there is one, is the caller's: hold
// ProportionWithTail against it as well.
//
// Source: Schuirmann, J. Pharmacokin. Biopharm. 15 (1987) 657 (two one-sided
// tests).
func (p Paired) Judge(margin, level float64) result.Verdict {
	mustMargin(margin)
	if margin >= 1 {
		panic(fmt.Sprintf("interval: margin %v of a probability", margin))
	}
	return result.Interval{Low: p.ScoreLower(level), High: p.ScoreUpper(level)}.Judge(margin)
}

func mustMargin(margin float64) {
	if !(margin > 0) {
		panic(fmt.Sprintf("interval: no verdict at margin %v", margin))
	}
}
