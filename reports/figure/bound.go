package figure

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"clampodds/sim/result"
)

// A bound has the ink of what it bounds, dashes and a marker that no curve has.
var (
	boundDashes = []vg.Length{9, 3}
	boundMarker = draw.SquareGlyph{}
)

func (v Curve) boundLine() draw.LineStyle {
	n, _ := seriesLook(v.Style - 1)
	return line(seriesInks[n], curveLine, boundDashes...)
}

func (v Curve) boundEntry() entry {
	return entry{text: v.Name, stroke: v.boundLine(), marker: boundMarker, ink: v.boundLine().Color.(ink)}
}

// whiskers draws a bound: its points, each with its interval, and a line that leads from one to the next.
func (v Curve) whiskers(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	stroke := v.boundLine()
	var run []vg.Point
	for k := range v.X {
		if !drawable(p.X, v.X[k]) || !drawable(p.Y, v.Y[k]) {
			continue
		}
		at := vg.Point{X: x(v.X[k]), Y: y(v.Y[k])}
		run = append(run, at)
		if low, high := max(v.Low[k], p.Y.Min), min(v.High[k], p.Y.Max); low < high {
			c.StrokeLine2(line(stroke.Color.(ink), thinLine), at.X, y(low), at.X, y(high))
		}
		c.DrawGlyph(draw.GlyphStyle{Color: stroke.Color, Radius: 1.3 * markerRadius, Shape: boundMarker}, at)
	}
	c.StrokeLines(stroke, c.ClipLinesXY(run)...)
}

// notAllowed are the parts of the axis beyond what is allowed.
func (t Setting) notAllowed(from, to float64) (parts []result.Interval) {
	if t.Most > 0 && t.Least > t.Most {
		return []result.Interval{{Low: from, High: to}}
	}
	if t.Least > from {
		parts = append(parts, result.Interval{Low: from, High: min(t.Least, to)})
	}
	if t.Most > 0 && t.Most < to {
		parts = append(parts, result.Interval{Low: max(t.Most, from), High: to})
	}
	return parts
}

// hatch covers what is not allowed.
func (t Setting) hatch(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	for _, part := range t.notAllowed(p.X.Min, p.X.Max) {
		hatched(c, x(part.Low), c.Min.Y, x(part.High), c.Max.Y)
	}
}

// hatched fills a rectangle with slanting lines, which show on top of a shade and in grey.
func hatched(c draw.Canvas, x0, y0, x1, y1 vg.Length) {
	const apart = 5 * vg.Length(1)
	height := y1 - y0
	for foot := x0 - height + apart/2; foot < x1; foot += apart {
		low, high := max(foot, x0), min(foot+height, x1)
		c.StrokeLine2(line(rule, hairline), low, y0+low-foot, high, y0+high-foot)
	}
}
