package contact

import "math"

// arcCells cells of q, from 0 to a half, have the series of (2/pi) asin(sqrt q)/sqrt q
// about their middle.
const (
	arcCells = 64
	arcTerms = 8 // the first left out is under 2^-58: half a cell is at most 2^-7 of the way to q = 1
)

var arcTable = newArcTable()

func newArcTable() (table [2 * arcCells][arcTerms / 4][4]float64) {
	for i := range arcCells + 1 { // the last for q = 1/2 alone
		table[i] = arcSeries((float64(i) + 0.5) / (2 * arcCells))
	}
	return table
}

// arcSeries expands y = asin(sqrt q)/sqrt q, for which 2 q y' + y = w and
// 2 (1 - q) w' = w, w = 1/sqrt(1 - q). The coefficients of y come upwards, or where q is
// small downwards from one that does not matter.
func arcSeries(q float64) (series [arcTerms / 4][4]float64) {
	const terms = 60
	var w, y [terms + 1]float64
	w[0] = 1 / math.Sqrt(1-q)
	for k := range terms {
		w[k+1] = w[k] * float64(2*k+1) / (float64(2*k+2) * (1 - q))
	}
	if q < 0.25 {
		for k := terms - 1; k >= 0; k-- {
			y[k] = (w[k] - 2*q*float64(k+1)*y[k+1]) / float64(2*k+1)
		}
	} else {
		y[0] = math.Asin(math.Sqrt(q)) / math.Sqrt(q)
		for k := range terms {
			y[k+1] = (w[k] - float64(2*k+1)*y[k]) / (2 * q * float64(k+1))
		}
	}
	for k := range arcTerms {
		series[k/4][k%4] = 2 / math.Pi * y[k]
	}
	return series
}

// contactFraction is (2/pi) asin sqrt q for q in [0, 1], relative error below 1e-15.
// Above a half it takes the complement, without a branch: which way q lies is
// random, and a branch that cannot be foreseen takes longer than all the rest.
func contactFraction(q float64) float64 {
	lesser := min(q, 1-q)
	half := &halves[math.Float64bits(0.5-q)>>63]
	return half.start + float64(half.direction*(math.Sqrt(lesser)*arcSeriesAt(lesser)))
}

// arcSeriesAt is (2/pi) asin(sqrt q)/sqrt q for q in [0, 1/2].
func arcSeriesAt(q float64) float64 {
	cell := int(q * (2 * arcCells))
	at, r := &arcTable[uint(cell)%(2*arcCells)], q-float64((float64(cell)+0.5)*(0.5/arcCells))
	square, c, d := r*r, &at[0], &at[1]
	return (c[0] + float64(r*c[1])) + float64(square*((c[2]+float64(r*c[3]))+float64(square*((d[0]+float64(r*d[1]))+float64(square*(d[2]+float64(r*d[3])))))))
}

// halves are q up to 1/2 and q above.
var halves = [2]struct{ start, direction float64 }{{0, 1}, {1, -1}}
