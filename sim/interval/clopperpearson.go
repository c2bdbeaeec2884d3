package interval

import (
	"fmt"
	"math"

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
