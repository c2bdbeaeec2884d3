package interval

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// WeightedCounts returns an interval for the mean of a weighted sum of
// independent counts: events of weights w, seen k times each, k Poisson. sum is
// Σ w k, squares Σ w² k, and largest the greatest weight that an event could
// have had, seen or not: it is what keeps the upper end above events that are
// possible but were not seen. With equal weights the interval is the exact one
// of a Poisson count. Its coverage was never seen below level, in the source or
// in the tests here; binomial counts, which scatter less, are covered too.
//
// sum = 0 gives low = 0 and the one-sided upper bound of the level, -largest
// ln(1-level). sum, squares >= 0, both zero or neither, and largest > 0, in units
// of the result; else it panics. The bound may exceed what is possible, 1 for a
// probability.
//
// Source: Fay & Feuer, Statist. Med. 16 (1997) 791, the gamma method.
func WeightedCounts(sum, squares, largest, level float64) (low, high float64) {
	mustLevel(level)
	if !(sum >= 0 && squares >= 0 && largest > 0 && (sum == 0) == (squares == 0)) {
		panic(fmt.Sprintf("interval: weighted counts with sum %v, squares %v, largest weight %v", sum, squares, largest))
	}
	if sum == 0 {
		return 0, -largest * math.Log1p(-level)
	}
	tail := (1 - level) / 2
	low = squares / sum * mathext.GammaIncRegInv(sum*sum/squares, tail)
	sum, squares = sum+largest, squares+largest*largest
	return low, squares / sum * mathext.GammaIncRegCompInv(sum*sum/squares, tail)
}
