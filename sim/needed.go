package sim

import (
	"math"

	"clampodds/sim/interval"
)

// mostNeeded is the number of rows from which Needed gives up.
const mostNeeded = 1e15

// Needed returns the number of rows that would decide whether the probability
// is above the target, 0 < target < 1, if the share and the dependence between
// rows stay as observed: at that number the interval excludes the target. It is
// 0 when the interval does so already, and math.MaxInt64 when no number in reach
// would. The estimate is one of a probability, from at least one row.
func (e Estimate) Needed(target float64) int64 {
	if Judge(e, target) != Undecided {
		return 0
	}
	decides := func(times float64) bool {
		n := e.EffectiveN * times
		if e.Count == 0 {
			return interval.UpperBoundZero(n, e.Level) <= target
		}
		low, high := interval.ClopperPearson(math.Min(e.Value*n, n), n, e.Level)
		return high <= target || low > target
	}
	// The interval shrinks with the number of rows, so deciding is monotone.
	low, high := 1.0, 2.0
	for !decides(high) {
		low, high = high, 2*high
		if high*float64(e.N) > mostNeeded || high*e.EffectiveN > mostEffective {
			return math.MaxInt64
		}
	}
	for high-low > 1e-3*low { // no observed rate is known better
		if middle := (low + high) / 2; decides(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return int64(math.Ceil(high * float64(e.N)))
}
