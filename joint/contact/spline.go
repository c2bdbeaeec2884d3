package contact

// axis is an even grid for cubic splines.
type axis struct {
	start float64
	nodes int
}

// step is the spacing of every axis. A cubic spline is off by step^4/384 times the
// fourth derivative, 1.3e-6 of it, and what is tabulated bends slowly in logarithms.
const step = 0.15

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

// cell is find for a place that is counted in steps along the axis: the cell and how
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

// dot is the value of a spline from its coefficients.
func dot(weight *[4]float64, c []float64) float64 {
	four := (*[4]float64)(c)
	return (weight[0]*four[0] + weight[1]*four[1]) + (weight[2]*four[2] + weight[3]*four[3])
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
// columns and writes its coefficients, rows + 2 lines of them.
func fitSurface(rows int, sample func(row, column int) float64, into func(row int) *line) {
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
		for i, c := range splineCoefficients(values) {
			into(i)[j] = c
		}
	}
}
