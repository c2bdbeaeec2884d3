package interval

import "fmt"

// Ranks holds the order statistics that bound a quantile: with the sample in
// ascending order x_(1) <= ... <= x_(n), the quantile lies in
// [x_(Lower), x_(Upper)].
type Ranks struct {
	// Lower and Upper count from 1. An end that this sample size cannot give
	// has Lower = 0 or Upper = n+1: the bound is then -Inf or +Inf.
	Lower, Upper                   int64
	LowerAvailable, UpperAvailable bool
	// Coverage is the exact probability of covering the quantile, at least the
	// level asked for; an end not available counts as infinite.
	Coverage float64
}

// OrderStatisticRanks returns the ranks of the two-sided interval of the given
// level for the p-quantile, 0 < p < 1, of n >= 1 independent values of any
// continuous distribution: the largest l with P(X <= l-1) <= (1-level)/2 and
// the smallest u with P(X >= u) <= (1-level)/2, X ~ Bin(n, p). No sum over n is
// taken; n up to 1e11 takes milliseconds.
//
// For a distribution with atoms the coverage is at least that given. Source:
// David & Nagaraja, Order Statistics, 3rd ed. 2003, sec. 7.1.
func OrderStatisticRanks(n int64, p, level float64) Ranks {
	mustQuantile(n, p)
	mustLevel(level)
	tail := (1 - level) / 2
	r := Ranks{Lower: lowerRank(n, p, tail), Upper: upperRank(n, p, tail)}
	r.fill(n, p)
	return r
}

// fill sets the coverage B(u-1) - B(l-1), the probabilities of missing on
// either side taken from 1 so that no digits are lost, and the flags.
func (r *Ranks) fill(n int64, p float64) {
	missBelow, _ := BinomialTails(r.Lower-1, n, p)
	_, missAbove := BinomialTails(r.Upper-1, n, p)
	r.Coverage = 1 - missBelow - missAbove
	r.LowerAvailable, r.UpperAvailable = r.Lower >= 1, r.Upper <= n
}

// lowerRank returns the largest l >= 0 with P(X <= l-1) <= tail.
func lowerRank(n int64, p, tail float64) int64 {
	return smallestReaching(n, p, -normalUpper(tail), func(k int64) bool {
		lower, _ := BinomialTails(k, n, p)
		return lower > tail
	})
}

// upperRank returns the smallest u <= n+1 with P(X >= u) <= tail.
func upperRank(n int64, p, tail float64) int64 {
	return 1 + smallestReaching(n, p, normalUpper(tail), func(k int64) bool {
		_, upper := BinomialTails(k, n, p)
		return upper <= tail
	})
}

func mustQuantile(n int64, p float64) {
	if n < 1 || !(p > 0 && p < 1) {
		panic(fmt.Sprintf("interval: no quantile at p = %v from %d values", p, n))
	}
}
