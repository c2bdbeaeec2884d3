package calibrate

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/combin"

	"clampodds/sim/batch"
)

// surface gives the moments of the observations anywhere in a box of a frame:
// computed at a tensor grid of Chebyshev points of the second kind, interpolated
// between them by the barycentric formula (Berrut & Trefethen, SIAM Review 46
// (2004) 501).
type surface struct {
	frame  *frame
	half   float64 // the box is [-half, half] along every axis
	points int     // along an axis
	index  [][]int // of each node along the axes
	nodes  []moments
}

// nodesPerAxis by the number of parameters: enough that halving the error would
// change no digit shown, few enough to be computed in seconds.
var nodesPerAxis = [4]int{1: 13, 2: 8, 3: 6}

// newSurface computes the nodes.
func (s *solver) newSurface(ctx context.Context, f *frame, half float64) (*surface, error) {
	n := len(f.centre)
	lens := make([]int, n)
	for i := range lens {
		lens[i] = nodesPerAxis[n]
	}
	u := &surface{frame: f, half: half, points: nodesPerAxis[n], index: combin.Cartesian(lens)}
	u.nodes = make([]moments, len(u.index))
	s.expect(int64(len(u.nodes)))
	err := batch.Each(ctx, s.problem.Workers, len(u.nodes), func(i int) error {
		u.nodes[i] = s.variation.at(f.scores(u.node(i))).moments(s.problem)
		s.count()
		return nil
	})
	if err != nil {
		return nil, err
	}
	for i, m := range u.nodes {
		if math.IsNaN(floats.Sum(m)) {
			return nil, fmt.Errorf("at the parameters %v nothing can be observed", s.problem.values(f.scores(u.node(i))))
		}
	}
	return u, nil
}

func (u *surface) node(i int) []float64 {
	w := make([]float64, len(u.index[i]))
	for axis, k := range u.index[i] {
		w[axis] = u.position(k)
	}
	return w
}

// position is Chebyshev point k of an axis.
func (u *surface) position(k int) float64 {
	return u.half * math.Cos(math.Pi*float64(k)/float64(u.points-1))
}

// weights are the values at w of the polynomials that are 1 at one point of the
// axis and 0 at the others.
func (u *surface) weights(w float64) []float64 {
	list := make([]float64, u.points)
	sum := 0.0
	for k := range list {
		distance := w - u.position(k)
		if distance == 0 {
			clear(list)
			list[k] = 1
			return list
		}
		list[k] = 1 / distance
		if k == 0 || k == u.points-1 {
			list[k] /= 2
		}
		if k%2 == 1 {
			list[k] = -list[k]
		}
		sum += list[k]
	}
	for k := range list {
		list[k] /= sum
	}
	return list
}

// at sets m to the moments at the scores z.
func (u *surface) at(z []float64, m moments) {
	clear(m)
	var byAxis [3][]float64
	for axis, w := range u.frame.coordinates(z) {
		byAxis[axis] = u.weights(w)
	}
	for i, index := range u.index {
		weight := 1.0
		for axis, k := range index {
			weight *= byAxis[axis][k]
		}
		if weight != 0 {
			floats.AddScaled(m, weight, u.nodes[i])
		}
	}
}

// inside reports whether the scores z lie in the box.
func (u *surface) inside(z []float64) bool {
	for _, w := range u.frame.coordinates(z) {
		if !(math.Abs(w) <= u.half) {
			return false
		}
	}
	return true
}

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
