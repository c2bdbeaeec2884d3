package contact

// axis is an even grid for cubic splines.
type axis struct {
	start float64
	nodes int
}

// step is the spacing of every axis. A cubic spline is off by step^4/384 times the
// fourth derivative, 1.7e-6 of it, and what is tabulated bends slowly in logarithms.
const step = 0.16

// axisOver covers low to high.
func axisOver(low, high float64) axis { return axis{low, int((high-low)/step) + 2} }

func (a axis) at(i int) float64 { return a.start + step*float64(i) }

// find returns the first of the four coefficients at x, held at the ends, with
// their weights.
func (a axis) find(x float64) (first int, weight [4]float64) {
	x = min(max((x-a.start)*(1/step), 0), float64(a.nodes-1))
	first = min(int(x), a.nodes-2)
	u := x - float64(first)
	v := 1 - u
	weight[0] = v * v * v * (1.0 / 6)
	weight[3] = u * u * u * (1.0 / 6)
	weight[1] = 2.0/3 - u*u*(1-0.5*u)
	weight[2] = 1 - weight[0] - weight[1] - weight[3]
	return first, weight
}

// endSlope are the weights of the first six samples in the slope at the first, per
// spacing.
var endSlope = [6]float64{-137.0 / 60, 5, -5, 10.0 / 3, -5.0 / 4, 1.0 / 5}

// splineCoefficients returns the n + 2 coefficients of the cubic spline through n
// samples (6 or more), with end slopes from the six nearest samples:
//
//	c_(i-1) + 4 c_i + c_(i+1) = 6 y_i,  c_(1) - c_(-1) = 2 slope
func splineCoefficients(y []float64) []float64 {
	n := len(y)
	var slope [2]float64
	for i, w := range endSlope {
		slope[0] += w * y[i]
		slope[1] -= w * y[n-1-i]
	}
	c := make([]float64, n+2)
	upper := make([]float64, n)
	for i := range n { // elimination; the end rows have the outer coefficient taken out
		right, over, under := 6*y[i], 1.0, 1.0
		switch i {
		case 0:
			right, over, under = right+2*slope[0], 2, 0
		case n - 1:
			right, under = right-2*slope[1], 2
		}
		previous, before := 0.0, 0.0
		if i > 0 {
			previous, before = upper[i-1], c[i]
		}
		pivot := 4 - under*previous
		upper[i] = over / pivot
		c[i+1] = (right - under*before) / pivot
	}
	for i := n - 1; i > 0; i-- {
		c[i] -= upper[i-1] * c[i+1]
	}
	c[0] = c[2] - 2*slope[0]
	c[n+1] = c[n-1] + 2*slope[1]
	return c
}

// surface is a cubic spline over two axes, rows by columns, of a few quantities at
// once; its coefficients lie row by row.
type surface struct {
	rows, columns axis
	quantities    int
	coefficient   []float64
}

// newSurface fits sample(row, column), which returns the quantities.
func newSurface(rows, columns axis, quantities int, sample func(row, column int) []float64) *surface {
	s := &surface{rows, columns, quantities, make([]float64, (rows.nodes+2)*(columns.nodes+2)*quantities)}
	line := make([]float64, columns.nodes)
	partial := make([][][]float64, rows.nodes) // row, quantity, column
	for i := range partial {
		values := make([][]float64, columns.nodes)
		for j := range values {
			values[j] = sample(i, j)
		}
		for q := range quantities {
			for j := range line {
				line[j] = values[j][q]
			}
			partial[i] = append(partial[i], splineCoefficients(line))
		}
	}
	line = make([]float64, rows.nodes)
	for q := range quantities {
		for j := range columns.nodes + 2 {
			for i := range line {
				line[i] = partial[i][q][j]
			}
			for i, c := range splineCoefficients(line) {
				s.coefficient[(i*(columns.nodes+2)+j)*quantities+q] = c
			}
		}
	}
	return s
}
