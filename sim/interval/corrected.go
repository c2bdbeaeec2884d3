package interval

import "math"

// ScoreUpper returns a one-sided upper bound of the difference (b-c)/n of two
// paired proportions that holds its level, at or above 1/2, for few discordant
// pairs too: the score bound of Tango corrected for the steps of the counts
// (half a pair) and for the skewness of b - c (first Edgeworth term). The plain
// score bound errs up to 1.3 times too often upward and 1.8 times downward at
// 95 %, 3.4 times at 99.75 %; this one never above its level for rare failures,
// as the enumeration in the tests shows.
//
// Source: our own, from Tango, Statist. Med. 17 (1998) 891, and the
// Cornish-Fisher expansion (Cornish & Fisher, Rev. Inst. Int. Statist. 5 (1937)
// 307).
func (p Paired) ScoreUpper(level float64) float64 {
	p.must()
	mustLevel(oneSided(level))
	return p.correctedUpper(normalUpper(1 - level))
}

// ScoreLower returns the one-sided lower bound that mirrors ScoreUpper.
func (p Paired) ScoreLower(level float64) float64 {
	p.must()
	mustLevel(oneSided(level))
	return -p.mirrored().correctedUpper(normalUpper(1 - level))
}

// correctedUpper returns the difference L at which the corrected score falls
// to -z.
func (p Paired) correctedUpper(z float64) float64 {
	return p.solveUpper(func(l float64) float64 { return -z - p.correctedScore(l, z) })
}

// correctedScore is the score at L moved toward the null: (b - c - nL + κ)/√v
// with κ = 1/2 - (z²-1)/6 κ3/v, not below 0.
func (p Paired) correctedScore(l, z float64) float64 {
	variance, third := p.moments(l)
	correction := math.Max(0, 0.5-(z*z-1)/6*third/variance)
	return (p.OnlyNew - p.OnlyOld - p.Total*l + correction) / math.Sqrt(variance)
}
