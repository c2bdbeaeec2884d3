package interval

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

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
