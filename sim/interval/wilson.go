package interval

import "math"

// Wilson returns the two-sided score interval of a proportion of k in n, real
// values allowed, 0 <= k <= n, n > 0: the p with |k/n - p| <= z sqrt(p(1-p)/n).
// Its coverage is near level on average over p; for a few expected events it
// falls below in places (two-sided 95 %: to 0.84 near 0.18 expected events).
// Show it; decide on ClopperPearson.
//
// Special cases are:
//
//	Wilson(0, n, level) has low = 0 exactly
//	Wilson(n, n, level) has high = 1 exactly
//
// Source: Wilson, J. Am. Statist. Assoc. 22 (1927) 209; Newcombe, Statist. Med.
// 17 (1998) 857, method 3.
func Wilson(k, n, level float64) (low, high float64) {
	mustProportion(k, n)
	mustLevel(level)
	return wilson(k, n, normalUpper((1-level)/2))
}

// WilsonLower returns the one-sided lower score bound; arguments as Wilson, of
// level >= 1/2.
func WilsonLower(k, n, level float64) float64 {
	low, _ := Wilson(k, n, oneSided(level))
	return low
}

// WilsonUpper returns the one-sided upper score bound; arguments as Wilson, of
// level >= 1/2.
func WilsonUpper(k, n, level float64) float64 {
	_, high := Wilson(k, n, oneSided(level))
	return high
}

func wilson(k, n, z float64) (low, high float64) {
	// The roots of (1 + z²/n) p² - (2k/n + z²/n) p + (k/n)² = 0: the sum form
	// for the one, the product form for the other, and mirrored for k > n/2, so
	// that neither end suffers cancellation.
	if k > n/2 {
		low, high = wilson(n-k, n, z)
		return 1 - high, 1 - low
	}
	p, h := k/n, z*z/n
	high = (p + h/2 + math.Sqrt(h*(p*(1-p)+h/4))) / (1 + h)
	return p * p / (1 + h) / high, high
}

// oneSided returns the two-sided level whose ends are one-sided bounds of the
// given level.
func oneSided(level float64) float64 {
	if !(level >= 0.5) {
		panic("interval: a one-sided score bound needs a level of at least 1/2")
	}
	return 1 - 2*(1-level)
}
