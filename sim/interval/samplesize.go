package interval

import (
	"fmt"
	"math"
)

// ToleranceSize returns the smallest number of independent values of any
// continuous distribution whose m-th largest, m >= 1, is at or above the
// coverage quantile with the given confidence: the smallest n with
// P(Bin(n, coverage) <= n-m) >= confidence, both in (0, 1). For a two-sided
// statement between the m-th smallest and the m-th largest ask for 2m.
//
// Source: Wilks, Ann. Math. Statist. 12 (1941) 91.
func ToleranceSize(coverage, confidence float64, m int) int64 {
	mustLevel(coverage)
	mustLevel(confidence)
	if m < 1 {
		panic(fmt.Sprintf("interval: no %d-th largest value", m))
	}
	enough := func(n int64) bool {
		// P(fewer than m values above the quantile) <= 1 - confidence.
		few, _ := BinomialTails(int64(m)-1, n, 1-coverage)
		return few <= 1-confidence
	}
	high := int64(m)
	for !enough(high) {
		high *= 2
	}
	for low := high / 2; high-low > 1; {
		if middle := low + (high-low)/2; enough(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}

// ZeroEventSize returns the smallest number of trials that, showing no event,
// proves a probability of at most p, 0 < p < 1, at the given level:
// ln(1-level)/ln(1-p) rounded up.
func ZeroEventSize(p, level float64) int64 {
	mustLevel(p)
	mustLevel(level)
	return int64(math.Ceil(math.Log(1-level) / math.Log1p(-p)))
}
