package interval

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// NormalToleranceOneSided returns the exact factor k for a sample of n >= 2
// independent normal values: mean + k s is at or above the coverage quantile
// with the given confidence (mean - k s at or below the opposite one). It is
// the noncentral-t quantile t'_(n-1)(confidence; z sqrt n)/sqrt n, z the
// coverage quantile of the standard normal. coverage and confidence in (0, 1),
// usually at or above 1/2.
//
// Source: NIST/SEMATECH e-Handbook 7.2.6.3.
func NormalToleranceOneSided(n int, coverage, confidence float64) float64 {
	mustSample(n)
	mustLevel(coverage)
	mustLevel(confidence)
	root := math.Sqrt(float64(n))
	return NoncentralTQuantile(confidence, mathext.NormalQuantile(coverage)*root, float64(n-1)) / root
}

// NormalTailUpper returns the exact upper confidence bound of P(X > limit) from
// a sample of n >= 2 independent normal values with (limit - mean)/s = k: the
// probability whose one-sided tolerance factor is k. With k = (mean - limit)/s
// it bounds P(X < limit).
func NormalTailUpper(n int, k, level float64) float64 {
	mustSample(n)
	mustLevel(level)
	if math.IsNaN(k) {
		panic("interval: distance to the limit is not a number")
	}
	root, s := math.Sqrt(float64(n)), spreadOf(float64(n-1))
	z := bisectIncreasing(func(z float64) float64 { return level - s.below(k*root, z*root) }, -37, 37)
	return math.Erfc(z/math.Sqrt2) / 2
}

// bracket holds every two-sided factor in use; n = 2 at 99.9 %/99.9 % needs some thousands.
const bracket = 1e5

// NormalToleranceTwoSided returns the exact factor k for a sample of n >= 2
// independent normal values: mean ± k s holds at least the share coverage of
// the population with the given confidence. Older printed tables differ in the
// third digit.
//
// Source: Φ(x+r) - Φ(x-r) = coverage defines r(x); the confidence is the mean
// over x ~ N(0, 1/n) of P(chi²_nu > nu r(x)²/k²), nu = n-1 (the equations of
// ISO 16269-6).
func NormalToleranceTwoSided(n int, coverage, confidence float64) float64 {
	mustSample(n)
	mustLevel(coverage)
	mustLevel(confidence)
	const nodes = 80
	x, weight := make([]float64, nodes), make([]float64, nodes)
	root, nu := math.Sqrt(float64(n)), float64(n-1)
	quad.Legendre{}.FixedLocations(x, weight, 0, 9/root)
	radius := make([]float64, nodes)
	for i := range x {
		radius[i] = coverRadius(x[i], coverage)
		weight[i] *= 2 * root * distuv.UnitNormal.Prob(x[i]*root)
	}
	return bisectIncreasing(func(k float64) float64 {
		sum := 0.0
		for i, r := range radius {
			sum += weight[i] * mathext.GammaIncRegComp(nu/2, nu/2*(r/k)*(r/k))
		}
		return sum - confidence
	}, 0, bracket)
}

// coverRadius solves Φ(x+r) - Φ(x-r) = coverage for r.
func coverRadius(x, coverage float64) float64 {
	return bisectIncreasing(func(r float64) float64 {
		// What is left out on both sides, so that a coverage near 1 keeps its digits.
		out := math.Erfc((x+r)/math.Sqrt2)/2 + math.Erfc((r-x)/math.Sqrt2)/2
		return (1 - coverage) - out
	}, 0, math.Abs(x)+40)
}

func mustSample(n int) {
	if n < 2 {
		panic(fmt.Sprintf("interval: no spread from %d values", n))
	}
}

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
