package interval

import "math"

// Tango returns the two-sided score interval of the difference (b-c)/n of two
// paired proportions. It holds for few and for no discordant pairs, where the
// Wald interval collapses.
//
// Source: Tango, Statist. Med. 17 (1998) 891.
func (p Paired) Tango(level float64) (low, high float64) {
	p.must()
	mustLevel(level)
	z := normalUpper((1 - level) / 2)
	return -p.mirrored().upper(z), p.upper(z)
}

// mirrored swaps old and new, which turns the sign of the difference.
func (p Paired) mirrored() Paired { return Paired{p.OnlyOld, p.OnlyNew, p.Total} }

// upper returns the difference L at which the score falls to -z.
func (p Paired) upper(z float64) float64 {
	return p.solveUpper(func(l float64) float64 {
		variance, _ := p.moments(l)
		return -z - (p.OnlyNew-p.OnlyOld-p.Total*l)/math.Sqrt(variance)
	})
}

// solveUpper finds the zero between the observed difference and 1, and 1 where
// there is none.
func (p Paired) solveUpper(increasing func(l float64) float64) float64 {
	if p.OnlyNew == p.Total {
		return 1
	}
	return bisectIncreasing(increasing, p.Difference(), 1)
}

// moments returns variance and third cumulant of b - c when the difference is
// L, the other parameter at its maximum-likelihood estimate.
func (p Paired) moments(l float64) (variance, third float64) {
	b, c, n := p.OnlyNew, p.OnlyOld, p.Total
	// q = P(only old): A q² + B q + C = 0 with A = 2n (Tango's q21).
	bb := -b - c + (2*n-b+c)*l
	cc := -c * l * (1 - l)
	root := math.Sqrt(math.Max(0, bb*bb-8*n*cc))
	q := (root - bb) / (4 * n)
	if bb > 0 { // the same root without cancellation
		q = -2 * cc / (root + bb)
	}
	discordant := 2*q + l
	return n * (discordant - l*l), n * l * (1 - 3*discordant + 2*l*l)
}

// oneSided returns the two-sided level whose ends are one-sided bounds of the
// given level.
func oneSided(level float64) float64 {
	if !(level >= 0.5) {
		panic("interval: a one-sided score bound needs a level of at least 1/2")
	}
	return 1 - 2*(1-level)
}
