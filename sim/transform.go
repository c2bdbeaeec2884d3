package sim

import (
	"gonum.org/v1/gonum/floats"

	"clampodds/dist"
)

// Transform turns points of the unit cube into input columns. u[i][r] is the
// coordinate of variable i in row r, in [0, 1]; x[i][r] receives its value in
// the variable's own unit. Columns are of one length, a whole number of
// groups. Of a variable whose draw a group shares, only the coordinates in the
// groups' first rows are read, and all rows of the group get the one value.
//
// Correlated variables follow the Gaussian copula: x = F^-1(Φ(L z)), z = Φ^-1(u).
//
// x[i] may be u[i]; otherwise u is not changed. Nothing is allocated.
func (in *Inputs) Transform(u, x [][]float64) { in.transform(u, x, in.independent) }

// transform does the correlated variables and these of the independent ones.
func (in *Inputs) transform(u, x [][]float64, independent []int) {
	for _, i := range independent {
		if v := &in.variables[i]; v.Level.Shared() && in.rowsPerGroup > 1 {
			draws := in.draws(i, u, x)
			dist.Transform(v.Dist, draws, draws)
			in.share(i, x)
		} else {
			dist.Transform(v.Dist, x[i], u[i])
		}
	}
	for _, b := range in.correlated {
		for _, i := range b.index {
			draws := in.draws(i, u, x)
			dist.NormalQuantiles(draws, draws)
		}
		in.fromScores(b, x)
	}
}

// FromNormal is Transform from independent standard normal columns z instead
// of the unit cube: both tails stay accurate, however far out z is.
func (in *Inputs) FromNormal(z, x [][]float64) { in.fromNormal(z, x, in.independent) }

// fromNormal does the correlated variables and these of the independent ones.
func (in *Inputs) fromNormal(z, x [][]float64, independent []int) {
	for _, i := range independent {
		in.draws(i, z, x)
		in.fromScore(i, x)
	}
	for _, b := range in.correlated {
		for _, i := range b.index {
			in.draws(i, z, x)
		}
		in.fromScores(b, x)
	}
}

// draws copies the coordinates of variable i that are read, one for each row
// or each group, to the head of its column in x and returns them.
func (in *Inputs) draws(i int, from, x [][]float64) []float64 {
	head := in.head(i, x)
	if len(head) == len(x[i]) {
		copy(head, from[i])
		return head
	}
	for g := range head {
		head[g] = from[i][g*in.rowsPerGroup]
	}
	return head
}

// head returns the part of column i of x that holds one value for each draw.
func (in *Inputs) head(i int, x [][]float64) []float64 {
	if in.variables[i].Level.Shared() {
		return x[i][:len(x[i])/in.rowsPerGroup]
	}
	return x[i]
}

// share spreads the draws at the head of column i of x over the rows.
func (in *Inputs) share(i int, x [][]float64) {
	draws := in.head(i, x)
	if len(draws) == len(x[i]) {
		return
	}
	for g := len(draws) - 1; g >= 0; g-- {
		value := draws[g]
		for r := range in.rowsPerGroup {
			x[i][g*in.rowsPerGroup+r] = value
		}
	}
}

// fromScores turns the independent normal scores of a correlated block at the
// heads of the columns into values. The last variable goes first, so that no
// score is overwritten before it is used.
func (in *Inputs) fromScores(b correlatedBlock, x [][]float64) {
	for row := len(b.index) - 1; row >= 0; row-- {
		i := b.index[row]
		scores := in.head(i, x)
		floats.Scale(b.lower.At(row, row), scores)
		for column, j := range b.index[:row] {
			floats.AddScaled(scores, b.lower.At(row, column), x[j][:len(scores)])
		}
	}
	for _, i := range b.index {
		in.fromScore(i, x)
	}
}

// fromScore turns the normal scores at the head of column i into values and
// shares them.
func (in *Inputs) fromScore(i int, x [][]float64) {
	dist.FromNormalScores(in.variables[i].Dist, in.head(i, x))
	in.share(i, x)
}
