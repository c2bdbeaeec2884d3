package gauge

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"

	"clampodds/sim/result"
)

// large makes modified large-sample intervals with so much left out on each side.
type large struct{ tail float64 }

// weighted is a mean square with its coefficient.
type weighted struct {
	coefficient float64
	square      Row
}

// spread returns G and H, how far the ends of the exact interval of one expected mean square
// lie below and above it, as shares of the mean square.
func (l large) spread(freedom int) (g, h float64) {
	ratio := func(p float64) float64 {
		half := float64(freedom) / 2
		return mathext.GammaIncRegInv(half, p) / half
	}
	return 1 - 1/ratio(1-l.tail), 1/ratio(l.tail) - 1
}

// square is the exact interval of one expected mean square.
func (l large) square(r Row) result.Interval {
	g, h := l.spread(r.Freedom)
	return result.Interval{Low: r.MeanSquare * (1 - g), High: r.MeanSquare * (1 + h)}
}

// sum is the interval of a sum of expected mean squares (Graybill and Wang 1980), with the
// degrees of freedom of its estimate.
func (l large) sum(terms []weighted) (c Component, freedom float64) {
	below, above, squares, parts := 0.0, 0.0, 0.0, 0.0
	for _, t := range terms {
		g, h := l.spread(t.square.Freedom)
		x := t.coefficient * t.square.MeanSquare
		squares += x
		below, above = below+g*g*x*x, above+h*h*x*x
		parts += x * x / float64(t.square.Freedom)
	}
	return Component{Source: "gauge", Variance: squares, Interval: result.Interval{Low: squares - math.Sqrt(below), High: squares + math.Sqrt(above)}}, squares * squares / parts
}

// difference is the interval of the difference of two expected mean squares (Ting and others
// 1990). Its lower end is 0 exactly where the F test is on its verge.
func (l large) difference(a, b Row) result.Interval {
	f := distuv.F{D1: float64(a.Freedom), D2: float64(b.Freedom)}
	g1, h1 := l.spread(a.Freedom)
	g2, h2 := l.spread(b.Freedom)
	x, y := a.MeanSquare, b.MeanSquare
	upper, lower := f.Quantile(1-l.tail), f.Quantile(l.tail)
	g12 := ((upper-1)*(upper-1) - g1*g1*upper*upper - h2*h2) / upper
	h12 := ((1-lower)*(1-lower) - h1*h1*lower*lower - g2*g2) / lower
	below := g1*g1*x*x + h2*h2*y*y + g12*x*y
	above := h1*h1*x*x + g2*g2*y*y + h12*x*y
	return result.Interval{Low: x - y - math.Sqrt(math.Max(0, below)), High: x - y + math.Sqrt(math.Max(0, above))}
}
