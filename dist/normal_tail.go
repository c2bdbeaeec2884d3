package dist

import "math"

// The upper tail of the standard normal distribution between 0 and 8 comes from its Taylor series about the middle
// of a cell, 64 of them to a unit: what is left out is below 1e-14 of it at 8, 1e-16 below 6.
const (
	tailEnd   = 8
	tailCells = 64 * tailEnd
	tailTerms = 8
	tailFours = tailTerms / 4 // of numbers in a cell
)

var tailTable = newTailTable()

// newTailTable takes the derivatives of the tail from those of the density, -phi He_k: He_(k+1) = z He_k - k He_(k-1)
// (Abramowitz and Stegun 26.2.33, 22.7.14).
func newTailTable() *[tailCells][tailTerms]float64 {
	var table [tailCells][tailTerms]float64
	for i := range table {
		z := (float64(i) + 0.5) / 64
		c, hermite, before := &table[i], 1.0, 0.0
		c[0] = NormalSurvival(z)
		term := -math.Exp(NormalLogDensity(z)) // -phi (-1)^k/(k+1)!
		for k := range tailTerms - 1 {
			c[k+1] = term * hermite
			hermite, before = z*hermite-float64(k)*before, hermite
			term /= -float64(k + 2)
		}
	}
	return &table
}

// tail is P(Z > |z|): NormalSurvival in a fifth of its time. Products are rounded, as in quantileCell.at.
func tail(z float64) float64 {
	place := math.Abs(z) * 64
	if !(place < tailCells) {
		return NormalSurvival(math.Abs(z))
	}
	cell := math.Floor(place)
	c, s := &tailTable[int(cell)%tailCells], math.Abs(z)-float64((cell+0.5)*(1.0/64))
	square := s * s
	return (c[0] + float64(s*c[1])) + float64(square*((c[2]+float64(s*c[3]))+float64(square*((c[4]+float64(s*c[5]))+float64(square*(c[6]+float64(s*c[7])))))))
}
