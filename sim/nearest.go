package sim

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// smallestEigenvalue is what a repaired correlation matrix keeps, so that it
// can be factorised after rounding; it moves no entry by more than about itself.
const smallestEigenvalue = 1e-9

// nearestCorrelation returns the correlation matrix (unit diagonal, no
// eigenvalue below floor >= 0) nearest to the symmetric a in the Frobenius
// norm: alternating projections with Dykstra's correction, Higham, IMA J.
// Numer. Anal. 22 (2002) 329, algorithm 3.3. a is not changed.
func nearestCorrelation(a *mat.SymDense, floor float64) *mat.SymDense {
	n := a.SymmetricDim()
	y, r, x := mat.NewSymDense(n, nil), mat.NewSymDense(n, nil), mat.NewSymDense(n, nil)
	y.CopySym(a)
	removed := mat.NewSymDense(n, nil) // what the last projection took away
	for range 10000 {
		r.AddSym(y, removed)
		projectEigenvalues(x, r, floor)
		largest := 0.0
		for i := range n {
			for j := i; j < n; j++ {
				removed.SetSym(i, j, r.At(i, j)-x.At(i, j))
				next := x.At(i, j)
				if i == j {
					next = 1 // projection onto unit diagonal
				}
				largest = math.Max(largest, math.Abs(next-y.At(i, j)))
				y.SetSym(i, j, next)
			}
		}
		if largest < 1e-13 {
			break
		}
	}
	return y
}

// projectEigenvalues sets x to the symmetric matrix nearest to r with no
// eigenvalue below floor.
func projectEigenvalues(x, r *mat.SymDense, floor float64) {
	var eigen mat.EigenSym
	if !eigen.Factorize(r, true) {
		panic("sim: eigenvalues of a finite symmetric matrix did not converge")
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	x.Zero()
	for k, value := range eigen.Values(nil) {
		x.SymRankOne(x, math.Max(value, floor), vectors.ColView(k))
	}
}
