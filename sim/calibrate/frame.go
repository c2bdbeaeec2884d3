package calibrate

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/combin"
)

// frame is a set of axes in the space of the normal scores: the point w of the
// frame is centre + axes w.
type frame struct {
	centre  []float64
	axes    *mat.Dense
	inverse *mat.Dense
	volume  float64 // |det axes|
}

// newFrame returns the frame in which a distribution of this mean and covariance
// has mean 0 and covariance I. Coordinate first changes along the
// first axis only. ok is false when the covariance is not positive
// definite.
func newFrame(centre []float64, covariance mat.Symmetric, first int) (f *frame, ok bool) {
	n := len(centre)
	order := []int{first}
	for i := range n {
		if i != first {
			order = append(order, i)
		}
	}
	permuted := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			permuted.SetSym(i, j, covariance.At(order[i], order[j]))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(permuted) {
		return nil, false
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	f = &frame{centre: append([]float64(nil), centre...), axes: mat.NewDense(n, n, nil), inverse: mat.NewDense(n, n, nil)}
	for i, row := range order {
		for j := 0; j <= i; j++ {
			f.axes.Set(row, j, lower.At(i, j))
		}
	}
	if err := f.inverse.Inverse(f.axes); err != nil {
		return nil, false
	}
	f.volume = math.Sqrt(chol.Det())
	return f, true
}

// covariance is the one that the frame was made for.
func (f *frame) covariance() *mat.SymDense {
	var c mat.SymDense
	c.SymOuterK(1, f.axes)
	return &c
}

// scores returns centre + axes w.
func (f *frame) scores(w []float64) []float64 {
	z := append([]float64(nil), f.centre...)
	for i := range z {
		for j, x := range w {
			z[i] += f.axes.At(i, j) * x
		}
	}
	return z
}

// coordinates is the inverse of scores.
func (f *frame) coordinates(z []float64) []float64 {
	w := make([]float64, len(z))
	for i := range w {
		for j, x := range z {
			w[i] += f.inverse.At(i, j) * (x - f.centre[j])
		}
	}
	return w
}

// lattice calls visit for the points w of a square grid inside the ball of the
// given radius. slice numbers the value of the first coordinate.
func (f *frame) lattice(step, radius float64, visit func(w []float64, slice int)) {
	side := int(math.Floor(radius/step + 1e-9))
	points := make([]int, len(f.centre))
	for i := range points {
		points[i] = 2*side + 1
	}
	w := make([]float64, len(points))
	for all := combin.NewCartesianGenerator(points); all.Next(); {
		index := all.Product(nil)
		square := 0.0
		for i, k := range index {
			w[i] = float64(k-side) * step
			square += w[i] * w[i]
		}
		if square <= radius*radius*(1+1e-9) {
			visit(w, index[0])
		}
	}
}
