package interval

// Jeffreys returns the equal-tailed interval of the posterior Beta(k+1/2,
// n-k+1/2) of a proportion, real values allowed, 0 <= k <= n, n > 0. low is 0
// for k = 0 and high is 1 for k = n. Coverage near level on average over p, below
// it in places (0.918 of 0.95 at three expected events): show it, decide on
// ClopperPearson. Source: Brown, Cai, DasGupta, Statist. Sci. 16 (2001) 101,
// sec. 3.1.3.
func Jeffreys(k, n, level float64) (low, high float64) {
	mustProportion(k, n)
	mustLevel(level)
	tail := (1 - level) / 2
	high = 1
	if k > 0 {
		low = betaQuantile(k+0.5, n-k+0.5, tail)
	}
	if k < n {
		high = betaQuantileUpper(k+0.5, n-k+0.5, tail)
	}
	return low, high
}
