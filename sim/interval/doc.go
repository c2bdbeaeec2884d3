// Package interval turns counts, order statistics and replicate estimates into
// intervals: pure statistics, no physics and no random numbers.
//
// # What an interval says
//
// An interval of level 0.95 comes from a recipe that, run again and again on
// fresh samples, covers the true value at least 95 times in 100. It covers the
// noise of the sampling that made the numbers, and nothing else: not a wrong
// model, not inputs that are themselves uncertain.
//
// # What no failures mean
//
// No failure in n trials never means a probability of zero. It means a
// probability below 1 - (1-level)^(1/n), about 3/n at 95 %: UpperBoundZero. A
// bound of 1e-7 takes thirty million trials without a failure.
//
// # Which trials
//
// Counts and order statistics need independent trials. A Latin hypercube or a
// randomised quasi-Monte Carlo set is not that: repeat the whole set with
// independent randomisations and use Replicates on the estimates.
//
// # Conventions
//
// level is the confidence level, in (0, 1): two-sided intervals leave
// (1-level)/2 on each side, one-sided bounds leave 1-level on one. Counts are
// float64 where an effective sample size may stand for them. Arguments outside
// the documented range, NaN included, are a caller's bug and panic. Every
// function is pure and safe for concurrent use.
package interval

import "fmt"

// mustLevel panics unless level is in (0, 1).
func mustLevel(level float64) {
	if !(level > 0 && level < 1) {
		panic(fmt.Sprintf("interval: level %v outside (0, 1)", level))
	}
}

// mustProportion panics unless 0 <= k <= n and n is positive and finite.
func mustProportion(k, n float64) {
	if !(k >= 0 && k <= n && n > 0 && n < 1e300) {
		panic(fmt.Sprintf("interval: %v of %v is not a proportion", k, n))
	}
}
