package contact

import "math"

// arcTable holds the angles whose sine is j/64, over 90 degrees, and their cosines.
var arcTable = newArcTable()

func newArcTable() (table [64]struct{ sine, cosine, angle float64 }) {
	for j := range table {
		sine := float64(j) / 64
		table[j].sine, table[j].cosine, table[j].angle = sine, math.Sqrt(1-sine*sine), 2/math.Pi*math.Asin(sine)
	}
	return table
}

// contactFraction is (2/pi) asin sqrt q for q in [0, 1], relative error below 1e-15.
// It takes the nearest angle a of the table, sin(x - a) = sin x cos a - cos x sin a,
// and the complement above 45 degrees, without a branch: which way q lies is
// random, and a branch that cannot be foreseen takes longer than all the rest.
func contactFraction(q float64) float64 {
	sine, cosine := math.Sqrt(min(q, 1-q)), math.Sqrt(max(q, 1-q))
	near := &arcTable[uint(int(64*sine+0.5))%64]
	d := sine*near.cosine - cosine*near.sine // |d| < 1/88; the series leaves out 1e-17 of it
	square := d * d
	angle := near.angle + 2/math.Pi*(d+d*square*(1.0/6+square*(3.0/40+square*(15.0/336))))
	half := &halves[math.Float64bits(0.5-q)>>63]
	return half.start + half.direction*angle
}

// halves are q up to 1/2 and q above.
var halves = [2]struct{ start, direction float64 }{{0, 1}, {1, -1}}
