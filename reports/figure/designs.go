package figure

import (
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"clampodds/sim/result"
)

// Designs holds the spreads of several designs against one limit: a row for each, with a
// thin line between its outer percentiles, a bar between its inner ones and its median.
type Designs struct {
	// Quantity is the x axis with its unit.
	Quantity string
	// Rows are drawn from the top down.
	Rows []DesignSpread
	// Bar and Line say in words between which percentiles they reach.
	Bar, Line string
	Limit     *Mark // nil without one
	Basis     Basis
}

// DesignSpread is the spread of one design; NaN draws nothing.
type DesignSpread struct {
	Name      string
	Line, Bar result.Interval
	Median    float64
}

const designPitch = 22 * vg.Length(1)

func (d Designs) Size() (width, height vg.Length) {
	return pageWidth, 92 + designPitch*vg.Length(max(len(d.Rows), 1))
}

func (d Designs) Draw(c draw.Canvas) {
	var x []float64
	for _, r := range d.Rows {
		x = append(x, r.Line.Low, r.Line.High)
	}
	if d.Limit != nil {
		x = append(x, d.Limit.At)
	}
	c = drawFoot(sheet(c), []entry{
		{text: d.Bar, patch: seriesInks[0]}, {text: d.Line, stroke: line(seriesInks[0], thinLine)},
		{text: "median", marker: draw.CircleGlyph{}, ink: heat},
	}, d.Basis.text())
	names := vg.Length(0)
	for _, r := range d.Rows {
		names = max(names, widthOf(r.Name, 0.4*(c.Max.X-c.Min.X)))
	}
	f := frame{x: linear(d.Quantity, x...), strong: d.Limit}
	rows := func(c draw.Canvas, p *plot.Plot) { d.rows(c, p, names) }
	drawRows(c, draw.Crop(c, names+8, -6, axisLabel, -topStrip), f.x, len(d.Rows), rows, f.drawTop)
}

func (d Designs) rows(c draw.Canvas, p *plot.Plot, names vg.Length) {
	x, y := p.Transforms(&c)
	text := style(smallType, black)
	text.XAlign = draw.XRight
	for i, r := range d.Rows {
		middle := y(float64(len(d.Rows) - 1 - i))
		write(c, text, c.Min.X-6, middle, names+0.1, r.Name)
		if !finite(r.Line.Low, r.Bar.Low, r.Median, r.Bar.High, r.Line.High) {
			continue
		}
		whisker(c, line(seriesInks[0], thinLine), x(r.Line.Low), x(r.Line.High), middle)
		rectangle(c, seriesInks[0], x(r.Bar.Low), middle-4, x(r.Bar.High), middle+4)
		c.DrawGlyph(draw.GlyphStyle{Color: heat, Radius: markerRadius, Shape: draw.CircleGlyph{}}, vg.Point{X: x(r.Median), Y: middle})
	}
}

func finite(values ...float64) bool {
	return !slices.ContainsFunc(values, func(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) })
}
