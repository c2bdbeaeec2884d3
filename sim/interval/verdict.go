package interval

import (
	"fmt"
	"math"

	"clampodds/sim/result"
)

// Judgement is a non-inferiority verdict with what it rests on.
type Judgement struct {
	Verdict    result.Verdict
	Difference float64 // observed, new - old
	// The interval's ends are one-sided bounds of the difference, each of confidence
	// Level.
	result.Interval
	// Level is 1 - (1-level)/looks: with it the chance of a wrong verdict over
	// all looks stays within 1-level.
	Level  float64
	Margin float64
	Looks  int
	// Needed is the total number of trials that would decide at the rates observed so far; 0 when
	// decided, math.MaxInt64 when no number in reach would.
	Needed int64
}

// Judge decides whether the change of the failure probability stays below
// margin, 0 < margin < 1, fixed before the run: Met when the upper bound is at
// or below it, NotMet when the lower bound is above it. level >= 1/2 is the
// confidence of either verdict over all looks at growing counts, looks >= 1.
//
// The bounds are those of ScoreUpper and ScoreLower. The requirement on the
// new failure probability itself, if there is one, is the caller's: hold
// ProportionWithTail against it as well.
//
// Source: Schuirmann, J. Pharmacokin. Biopharm. 15 (1987) 657 (two one-sided
// tests); Bonferroni over the looks.
func (p Paired) Judge(margin, level float64, looks int) Judgement {
	p.must()
	mustJudge(margin, level, looks)
	if margin >= 1 {
		panic(fmt.Sprintf("interval: margin %v of a probability", margin))
	}
	z := normalUpper((1 - level) / float64(looks))
	j := Judgement{
		Difference: p.Difference(), Interval: result.Interval{Low: -p.mirrored().correctedUpper(z), High: p.correctedUpper(z)},
		Margin: margin, Level: 1 - (1-level)/float64(looks), Looks: looks,
	}
	j.Verdict = j.Judge(margin)
	if j.Verdict == result.Undecided {
		j.Needed = neededSize(p.Total, func(n int64) bool { return p.scaled(float64(n)).decides(margin, z) })
	}
	return j
}

// neededSize returns the smallest size above n that decides, as far as
// deciding is monotone in the size, and math.MaxInt64 above 2^50.
func neededSize(n float64, decides func(n int64) bool) int64 {
	const most = 1 << 50
	if !(n < most) {
		return math.MaxInt64
	}
	low := int64(n)
	high := 2*low + 1
	for !decides(high) {
		if high > most {
			return math.MaxInt64
		}
		low, high = high, 2*high
	}
	for high-low > 1 {
		if middle := low + (high-low)/2; decides(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}

func mustJudge(margin, level float64, looks int) {
	mustLevel(level)
	if !(margin > 0) || !(level >= 0.5) || looks < 1 {
		panic(fmt.Sprintf("interval: no verdict at margin %v, level %v, %d looks", margin, level, looks))
	}
}
