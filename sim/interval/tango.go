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
	t := p.tango()
	z := normalUpper((1 - level) / 2)
	return -t.mirrored().upper(z), t.upper(z)
}

// TangoUpper returns the one-sided upper score bound of the difference, of
// level >= 1/2.
func (p Paired) TangoUpper(level float64) float64 {
	_, high := p.Tango(oneSided(level))
	return high
}

// TangoLower returns the one-sided lower score bound of the difference, of
// level >= 1/2.
func (p Paired) TangoLower(level float64) float64 {
	low, _ := p.Tango(oneSided(level))
	return low
}

// tango holds the counts as real numbers, so that they can be scaled.
type tango struct{ onlyNew, onlyOld, total float64 }

func (p Paired) tango() tango {
	return tango{float64(p.OnlyNew), float64(p.OnlyOld), float64(p.Total)}
}

// mirrored swaps old and new, which turns the sign of the difference.
func (t tango) mirrored() tango { return tango{t.onlyOld, t.onlyNew, t.total} }

// upper returns the difference L at which the score falls to -z.
func (t tango) upper(z float64) float64 {
	return t.solveUpper(func(l float64) float64 {
		variance, _ := t.moments(l)
		return -z - (t.onlyNew-t.onlyOld-t.total*l)/math.Sqrt(variance)
	})
}

// solveUpper finds the zero between the observed difference and 1, and 1 where
// there is none.
func (t tango) solveUpper(increasing func(l float64) float64) float64 {
	if t.onlyNew == t.total {
		return 1
	}
	return bisectIncreasing(increasing, (t.onlyNew-t.onlyOld)/t.total, 1)
}

// moments returns variance and third cumulant of b - c when the difference is
// L, the other parameter at its maximum-likelihood estimate.
func (t tango) moments(l float64) (variance, third float64) {
	b, c, n := t.onlyNew, t.onlyOld, t.total
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
