package figure

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Exceedance shows how likely a quantity exceeds each value, on a logarithmic
// scale, with the interval of each probability.
type Exceedance struct {
	// Quantity is the x axis with its unit: "hotter edge, mean [°C]".
	Quantity string
	// Curves have the value as X and the probability of exceeding it as Y.
	Curves []Curve
	// Limit marks the x axis, Target the y axis; nil without one.
	Limit  *Mark
	Target *Mark
	Basis  Basis
}

// Size implements Drawing.
func (e Exceedance) Size() (width, height vg.Length) { return pageWidth, 80 * vg.Millimeter }

// Draw implements Drawing.
func (e Exceedance) Draw(c draw.Canvas) {
	x, _ := values(e.Curves...)
	y := tails(e.Curves...)
	f := frame{strong: e.Limit, basis: e.Basis.text()}
	if e.Limit != nil {
		x = append(x, e.Limit.At)
	}
	if e.Target != nil {
		f.right = []Mark{*e.Target}
		y = append(y, e.Target.At)
	}
	f.x, f.y = linear(e.Quantity, x...), probabilities("probability of exceeding", y...)
	f.addCurves(e.Curves)
	f.draw(c)
}

// addCurves adds the curves as series with their lines of the legend.
func (f *frame) addCurves(curves []Curve) {
	for i, v := range curves {
		f.layers = append(f.layers, v.layers(i)...)
		f.legend = append(f.legend, v.entry(i))
	}
}
