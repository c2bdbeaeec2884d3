package contact

// axis is an even grid for cubic splines.
type axis struct {
	start float64
	nodes int
}

// step is the spacing of every axis. A cubic spline is off by step^4/384 times the
// fourth derivative, 1.3e-6 of it, and what is tabulated bends slowly in logarithms.
const step = 0.15

func axisOver(low, high float64) axis { return axis{low, int((high-low)/step) + 2} }

func (a axis) at(i int) float64 { return a.start + step*float64(i) }

// weightsAt are those of the four coefficients that reach into a cell, at a place in it.
func weightsAt(u float64) (w [4]float64) {
	v := 1 - u
	w[0] = float64(v * v * v * (1.0 / 6))
	w[3] = float64(u * u * u * (1.0 / 6))
	w[1] = 2.0/3 - float64(u*u*(1-float64(0.5*u)))
	w[2] = 1 - w[0] - w[1] - w[3]
	return w
}

// mix sets a cubic that lies between four.
func (sum *cubic) mix(w *[4]float64, a, b, c, d *cubic) {
	for k := range sum {
		sum[k] = (float64(w[0]*a[k]) + float64(w[1]*b[k])) + (float64(w[2]*c[k]) + float64(w[3]*d[k]))
	}
}

// find is cell for a number.
func (a *axis) find(x float64) (cell int, u float64) {
	return a.cell(float64((x - a.start) * (1 / step)))
}

// cell returns the cell of a place that is counted in steps along the axis, held at the ends, and how
// far into it the place lies.
func (a *axis) cell(place float64) (cell int, u float64) {
	if !(place > 0) {
		return 0, 0
	}
	cell = int(place)
	if last := a.nodes - 2; cell > last {
		return last, min(place-float64(last), 1)
	}
	return cell, place - float64(cell)
}

// cubic is a spline in one cell, by powers of the place in it.
type cubic [4]float64

// cubicOf takes the four coefficients that reach into the cell.
func cubicOf(c *[4]float64) cubic {
	return cubic{(c[0] + 4*c[1] + c[2]) / 6, (c[2] - c[0]) / 2, (c[0] - 2*c[1] + c[2]) / 2, (c[3]-c[0])/6 + (c[1]-c[2])/2}
}

func (c *cubic) at(u float64) float64 {
	return c[0] + float64(u*(c[1]+float64(u*(c[2]+float64(u*c[3])))))
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

// fitSurface fits a cubic spline to sample(row, column) over rows by ratioNodes
// columns and writes it by cells of rows and coefficients of columns.
func fitSurface(rows int, sample func(row, column int) float64, into func(cell, column int) *cubic) {
	across := make([][]float64, rows)
	values := make([]float64, ratioNodes)
	for i := range across {
		for j := range values {
			values[j] = sample(i, j)
		}
		across[i] = splineCoefficients(values)
	}
	values = make([]float64, rows)
	for j := range ratioNodes + 2 {
		for i := range values {
			values[i] = across[i][j]
		}
		c := splineCoefficients(values)
		for i := range rows - 1 {
			*into(i, j) = cubicOf((*[4]float64)(c[i:]))
		}
	}
}
