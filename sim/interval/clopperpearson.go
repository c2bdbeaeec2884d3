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

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/mathext"
)

// ClopperPearson returns the exact two-sided interval for a proportion of k in
// n: low solves P(X >= k) = (1-level)/2 and high solves P(X <= k) = (1-level)/2
// for X binomial. Its coverage is never below level; for few events it is well
// above. k and n may be real (effective sample sizes), 0 <= k <= n, n > 0.
//
// Special cases are:
//
//	ClopperPearson(0, n, level) has low = 0
//	ClopperPearson(n, n, level) has high = 1
//
// Right to 1e-10 relative, tails included. Source: Clopper & Pearson,
// Biometrika 26 (1934) 404; in beta quantiles: Brown, Cai, DasGupta, Statist.
// Sci. 16 (2001) 101.
func ClopperPearson(k, n, level float64) (low, high float64) {
	mustProportion(k, n)
	mustLevel(level)
	tail := (1 - level) / 2
	return proportionLower(k, n, tail), proportionUpper(k, n, tail)
}

// ClopperPearsonLower returns the exact one-sided lower bound of the
// proportion; arguments as ClopperPearson. It is 0 for k = 0.
func ClopperPearsonLower(k, n, level float64) float64 {
	mustProportion(k, n)
	mustLevel(level)
	return proportionLower(k, n, 1-level)
}

// ProportionWithTail returns the proportion p with P(X <= k) = tail for X binomial
// (n, p), tail in (0, 1): the exact one-sided upper bound of the level 1 - tail, without the
// digits that the difference costs a small tail. It is 1 for k = n, and
// UpperBoundZero(n, 1 - tail) for k = 0.
func ProportionWithTail(k, n, tail float64) float64 {
	mustProportion(k, n)
	mustLevel(tail)
	return proportionUpper(k, n, tail)
}

// UpperBoundZero returns the exact one-sided upper bound 1 - (1-level)^(1/n) of
// a proportion of which n trials, n > 0, showed none; n may be real. Its first
// order at 95 % is the rule of three, 3/n (Hanley & Lippman-Hand, JAMA 249
// (1983) 1743).
func UpperBoundZero(n, level float64) float64 {
	mustProportion(0, n)
	mustLevel(level)
	return zeroUpper(n, 1-level)
}

func zeroUpper(n, tail float64) float64 { return -math.Expm1(math.Log(tail) / n) }

// proportionLower solves P(X >= k) = I_p(k, n-k+1) = tail for p.
func proportionLower(k, n, tail float64) float64 {
	if k == 0 {
		return 0
	}
	return betaQuantile(k, n-k+1, tail)
}

// proportionUpper solves P(X <= k) = I_(1-p)(n-k, k+1) = tail for p.
func proportionUpper(k, n, tail float64) float64 {
	switch k {
	case n:
		return 1
	case 0:
		return zeroUpper(n, tail)
	}
	return betaQuantileUpper(k+1, n-k, tail)
}

// betaQuantile solves I_x(a, b) = tail for x, betaQuantileUpper solves
// I_(1-x)(b, a) = tail. The equation is solved in the logit of x, on the
// logarithm of the tail, where it is nearly straight in both tails.
func betaQuantile(a, b, tail float64) float64 { return logistic(betaLogit(a, b, tail)) }

func betaQuantileUpper(a, b, tail float64) float64 { return logistic(-betaLogit(b, a, tail)) }

// logistic is 1/(1 + exp(-logit)). Close to 1 it is taken from the other side,
// where 1 + exp(-logit) would be rounded to two units of its last place.
func logistic(logit float64) float64 {
	if e := math.Exp(-logit); e < 0.5 {
		return 1 - e/(1+e)
	}
	return 1 / (1 + math.Exp(-logit))
}

// betaLogit solves I_x(a, b) = tail and returns ln(x/(1-x)).
func betaLogit(a, b, tail float64) float64 {
	target := math.Log(tail)
	f := func(logit float64) (value, slope float64) {
		x, y := 1/(1+math.Exp(-logit)), 1/(1+math.Exp(logit))
		lower, _ := betaTails(a, b, x, y)
		// d ln I/d logit = x^a y^b/(B(a, b) I).
		return math.Log(lower) - target, betaKernel(a, b, x, y) / lower
	}
	// Start from the normal approximation of the logit of a beta variate.
	start := math.Log(a/b) + mathext.NormalQuantile(tail)*math.Sqrt(1/a+1/b)
	start = math.Max(-700, math.Min(700, start))
	return newtonIncreasing(f, -745, 745, start)
}

// BinomialTails returns P(X <= k) and P(X > k) for X ~ Bin(n, p), n >= 1,
// 0 <= p <= 1, without a sum: P(X <= k) = I_(1-p)(n-k, k+1) (NIST DLMF 8.17.5).
// The smaller tail is right to 1e-12 relative, for n up to 1e11. A k below 0 or
// from n on gives 0 and 1, or 1 and 0.
func BinomialTails(k, n int64, p float64) (lower, upper float64) {
	if n < 1 || !(p >= 0 && p <= 1) {
		panic(fmt.Sprintf("interval: no binomial distribution of n = %d, p = %v", n, p))
	}
	switch {
	case k < 0:
		return 0, 1
	case k >= n:
		return 1, 0
	}
	return betaTails(float64(n-k), float64(k+1), 1-p, p)
}

// smallestReaching returns the smallest k in [-1, n] for which reached(k) holds;
// reached is monotone and holds at n. The search gallops from near the
// tail-quantile z of Bin(n, p).
func smallestReaching(n int64, p, z float64, reached func(k int64) bool) int64 {
	guess := int64(float64(n)*p + z*math.Sqrt(float64(n)*p*(1-p)))
	guess = min(max(guess, -1), n)
	low, high, step := guess, guess, int64(1)
	for low >= -1 && reached(low) {
		high = low
		low -= step
		step *= 2
	}
	for !reached(high) {
		low = high
		high = min(high+step, n)
		step *= 2
	}
	for low = max(low, -2); high-low > 1; {
		if middle := low + (high-low)/2; reached(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}

// normalUpper returns z with P(Z > z) = tail.
func normalUpper(tail float64) float64 { return -mathext.NormalQuantile(tail) }

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

// NumericalTolerance returns half a unit of the last of the given significant
// digits (1 or more) of the standard uncertainty u > 0: u is written c x 10^l
// with an integer c of that many digits, and the tolerance is 10^l/2. It has
// the unit of u: u = 0.35 with two digits gives 0.005, with one digit 0.05.
//
// Source: JCGM 101:2008, 7.9.2.
func NumericalTolerance(u float64, digits int) float64 {
	if !(u > 0) || math.IsInf(u, 1) || digits < 1 {
		panic(fmt.Sprintf("interval: no tolerance from u = %v, %d digits", u, digits))
	}
	// Formatting rounds correctly, and carries 0.996 to 1.0.
	_, text, _ := strings.Cut(strconv.FormatFloat(u, 'e', digits-1, 64), "e")
	exponent, _ := strconv.Atoi(text) // always a number by construction
	return math.Pow10(exponent-digits+1) / 2
}

// BlockSize returns the number of trials of one block for a coverage interval
// of probability p: the larger of 10 000 and 100/(1-p). Source: JCGM 101:2008,
// 7.9.4 b.
func BlockSize(p float64) int {
	mustLevel(p)
	return int(min(max(10_000, math.Ceil(100/(1-p)*(1-1e-12))), math.MaxInt32)) // 1-p carries rounding
}
