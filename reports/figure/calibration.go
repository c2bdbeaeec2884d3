package figure

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Knowledge shows what is known of a number before readings and after them, as densities.
type Knowledge struct {
	// Quantity is the x axis with its unit.
	Quantity string
	// Curves have the value as X and its density as Y.
	Curves []Curve
	Basis  Basis
}

// Size implements Drawing.
func (k Knowledge) Size() (width, height vg.Length) { return pageWidth, 70 * vg.Millimeter }

// Draw implements Drawing.
func (k Knowledge) Draw(c draw.Canvas) {
	x, y := values(k.Curves...)
	f := frame{basis: k.Basis.text(), x: linear(k.Quantity, x...), y: linear("density", append(y, 0)...)}
	f.addCurves(k.Curves)
	f.draw(c)
}

// Readings shows readings in their order against what was to be expected of each.
type Readings struct {
	// Quantity is the y axis with its unit.
	Quantity string
	// Curves have the number of the reading as X; what was expected has a band.
	Curves []Curve
	Basis  Basis
}

// Size implements Drawing.
func (r Readings) Size() (width, height vg.Length) { return pageWidth, 80 * vg.Millimeter }

// Draw implements Drawing.
func (r Readings) Draw(c draw.Canvas) {
	x, y := values(r.Curves...)
	f := frame{basis: r.Basis.text(), x: linear("reading, in the order of the table", x...), y: linear(r.Quantity, y...)}
	f.addCurves(r.Curves)
	f.draw(c)
}
