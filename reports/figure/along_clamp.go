package figure

import (
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// AlongClamp shows the temperature of the flange's inner edge along the clamp,
// from the screw's head to its thread end: points, since a node stands for the flange beside
// a piece and says nothing of what is between two.
type AlongClamp struct {
	// Position is the x axis with its unit, Temperature the y axis.
	Position, Temperature string
	// Edges have one curve each.
	Edges []Curve
	Limit *Mark // on the y axis; nil without one
	Basis Basis
}

// Size implements Drawing.
func (a AlongClamp) Size() (width, height vg.Length) { return pageWidth, 64 * vg.Millimeter }

// Draw implements Drawing.
func (a AlongClamp) Draw(c draw.Canvas) {
	x, y := values(a.Edges...)
	f := frame{basis: a.Basis.text()}
	if a.Limit != nil {
		f.right = []Mark{*a.Limit}
		y = append(y, a.Limit.At)
	}
	f.x, f.y = linear(a.Position, x...), linear(a.Temperature, y...)
	edges := slices.Clone(a.Edges)
	for i := range edges {
		edges[i].pointsOnly = true
	}
	f.addCurves(edges)
	f.draw(c)
}
