package dist

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"clampodds/joint/lanes"
)

// The normal quantile between the probabilities 2^-12 and 1 - 2^-12 is
//
//	z(p) = (p - 1/2) g(t),  t = min(p, 1 - p),
//
// with g from its Taylor series about the middle of a cell of t. The cells divide
// each octave of t in 64, so that the series runs over at most 1/129 of the way to
// the singularity at t = 0 and what is left out is below 1e-17. The factor p - 1/2
// keeps the digits beside the median. No division, no root, no logarithm, and the
// only branch is one that is hardly ever taken.
const (
	octaveBits      = 6
	quantileOctaves = 11 // of t, from 2^-12 to 1/2
	quantileShift   = 52 - octaveBits
	firstCell       = (1023 - 12) << octaveBits // the leading bits of 2^-12
	leastOfTable    = 0x1p-12
	quantileCells   = quantileOctaves<<octaveBits + 1
	quantileTerms   = 8
	quantileFours   = quantileTerms / 4 // of numbers in a cell
)

// quantileCell holds the coefficients of g in one cell by powers of t less its middle.
type quantileCell [quantileTerms]float64

// at returns g. Here and in lanes.Exp products are rounded, lest a compiler fuses them with sums: the bits are those
// of the vectors (transform_lanes.go) everywhere.
func (c *quantileCell) at(s float64) float64 {
	square := s * s
	even := c[0] + float64(square*(c[2]+float64(square*(c[4]+float64(square*c[6])))))
	return even + float64(s*(c[1]+float64(square*(c[3]+float64(square*(c[5]+float64(square*c[7])))))))
}

// quantileTable holds the cells. The last is there for t = 1/2 alone, where g is the
// slope of the quantile.
var quantileTable = newQuantileTable()

func newQuantileTable() *[quantileCells]quantileCell {
	var table [quantileCells]quantileCell
	for i := range table[:quantileCells-1] {
		table[i] = quantileSeries(cellMiddle(firstCell + uint64(i)))
	}
	table[quantileCells-1] = quantileCell{math.Sqrt(2 * math.Pi)}
	return &table
}

// findCell returns the cell of t and how far t lies from its middle, nil outside the
// table. t is at most 1/2 or NaN.
func findCell(t float64) (cell *quantileCell, s float64) {
	leading := math.Float64bits(t) >> quantileShift
	if leading-firstCell >= quantileCells {
		return nil, 0
	}
	return &quantileTable[leading-firstCell], t - cellMiddle(leading)
}

// cellMiddle is the middle of the cell of numbers with these leading bits.
func cellMiddle(leading uint64) float64 {
	return math.Float64frombits(leading<<quantileShift + 1<<(quantileShift-1))
}

// quantileSeries expands g about t. The quantile has z' = y, y' = z y^2, with
// y = sqrt(2 pi) exp(z^2/2), which gives the coefficients of z one after another.
func quantileSeries(t float64) quantileCell {
	const terms = quantileTerms + 4
	var z, y, square [terms + 1]float64
	var all [terms]float64
	z[0] = mathext.NormalQuantile(t)
	y[0] = math.Exp(-NormalLogDensity(z[0]))
	for k := range terms {
		third := 0.0
		for i := 0; i <= k; i++ {
			square[k] += y[i] * y[k-i]
		}
		for i := 0; i <= k; i++ {
			third += z[i] * square[k-i]
		}
		z[k+1] = y[k] / float64(k+1)
		y[k+1] = third / float64(k+1)
	}
	// z = (t - 1/2) g term by term: upwards, or where t - 1/2 is small downwards from
	// a term too small to matter, further on than is kept.
	q := t - 0.5
	if q > -0.01 {
		next := 0.0
		for k := terms - 1; k >= 0; k-- {
			next = z[k+1] - q*next
			all[k] = next
		}
		return quantileCell(all[:quantileTerms])
	}
	previous := 0.0
	for k := range terms {
		previous = (z[k] - previous) / q
		all[k] = previous
	}
	return quantileCell(all[:quantileTerms])
}

// NormalQuantile returns the z with NormalCDF(z) = p, relative error below 1.5e-15
// down to p = 1e-300: from a table of series for nearly all p, beyond it by algorithm
// AS 241 (PPND16, Wichura, Appl. Statist. 37 (1988) 477), which the table is made
// with too.
//
// Special cases: -Inf at 0, +Inf at 1, NaN outside [0, 1]. In the upper tail
// -NormalQuantile(q) at the upper probability q is the accurate way in.
func NormalQuantile(p float64) float64 {
	if cell, s := findCell(min(p, 1-p)); cell != nil {
		return (p - 0.5) * cell.at(s)
	}
	return rareQuantile(p)
}

// NormalQuantiles sets dst[i] to NormalQuantile(p[i]). dst may be p itself; it has to be as
// long at least.
func NormalQuantiles(dst, p []float64) {
	dst = dst[:len(p)]
	var b block
	each(dst, p, func(to, from *lanes.Row) bool { return b.quantiles(to, from) }, quantiles)
}

func quantiles(dst, p []float64) {
	for i, p := range p {
		if cell, s := findCell(min(p, 1-p)); cell != nil {
			dst[i] = (p - 0.5) * cell.at(s)
		} else {
			dst[i] = rareQuantile(p)
		}
	}
}

// rareQuantile is the quantile outside the table, NaN for what is no probability.
func rareQuantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return mathext.NormalQuantile(p)
}

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
		c[0] = math.Erfc(z/math.Sqrt2) / 2
		term := -math.Exp(NormalLogDensity(z)) // -phi (-1)^k/(k+1)!
		for k := range tailTerms - 1 {
			c[k+1] = term * hermite
			hermite, before = z*hermite-float64(k)*before, hermite
			term /= -float64(k + 2)
		}
	}
	return &table
}

// tail is P(Z > |z|): from the table in a fifth of the time of math.Erfc. Products are rounded, as in quantileCell.at.
func tail(z float64) float64 {
	place := math.Abs(z) * 64
	if !(place < tailCells) {
		return math.Erfc(math.Abs(z)/math.Sqrt2) / 2
	}
	cell := math.Floor(place)
	c, s := &tailTable[int(cell)%tailCells], math.Abs(z)-float64((cell+0.5)*(1.0/64))
	square := s * s
	return (c[0] + float64(s*c[1])) + float64(square*((c[2]+float64(s*c[3]))+float64(square*((c[4]+float64(s*c[5]))+float64(square*(c[6]+float64(s*c[7])))))))
}
