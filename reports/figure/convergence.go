package figure

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Convergence shows how an estimate and its interval settled as samples came
// in.
type Convergence struct {
	// Quantity is the y axis with its unit.
	Quantity string
	// Trace has the number of samples as X, the estimate then as Y.
	Trace Curve
	// Target marks the y axis; nil without one.
	Target *Mark
	Basis  Basis
}

// Size implements Drawing.
func (v Convergence) Size() (width, height vg.Length) { return pageWidth, 64 * vg.Millimeter }

// Draw implements Drawing.
func (v Convergence) Draw(c draw.Canvas) {
	x, y := values(v.Trace)
	f := frame{basis: v.Basis.text()}
	if v.Target != nil {
		f.right = []Mark{*v.Target}
		y = append(y, v.Target.At)
	}
	f.x, f.y = logarithmic(v.Basis.Of+" so far", x...), linear(v.Quantity, y...)
	f.addCurves([]Curve{v.Trace})
	f.draw(c)
}
