package figure

import (
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Curve is a line with a band about it. X ascends; Y has the values at X. Low
// and High have the band, or are nil. Values that cannot be drawn (NaN, infinite,
// on a logarithmic axis not positive) interrupt the line; a band reaches to the
// end of the axis there.
type Curve struct {
	Name      string
	X, Y      []float64
	Low, High []float64
	// Style, from 1, is the look of the curve, so that a requirement has its own in every
	// figure; 0: that of its place among the curves.
	Style int

	PointsOnly bool // no line between them
}

// Add adds a point of a curve without a band.
func (v *Curve) Add(x, y float64) { v.X, v.Y = append(v.X, x), append(v.Y, y) }

// AddBand adds a point with its band.
func (v *Curve) AddBand(x, y, low, high float64) {
	v.Add(x, y)
	v.Low, v.High = append(v.Low, low), append(v.High, high)
}

// place is that of the curve's look among the series.
func (v Curve) place(i int) int {
	if v.Style > 0 {
		return v.Style - 1
	}
	return i
}

const markerRadius = 2.2 * vg.Length(1)

// values lists all that an axis has to cover.
func values(curves ...Curve) (x, y []float64) {
	for _, c := range curves {
		x = append(x, c.X...)
		y = append(append(append(y, c.Y...), c.Low...), c.High...)
	}
	return x, y
}

// leastBand is how far below its line, as a share, a band widens a logarithmic
// axis: with few events its lower end is nearly 0, and would press the rest
// together.
const leastBand = 0.01

// tails lists the probabilities that a logarithmic axis has to cover.
func tails(curves ...Curve) (y []float64) {
	for _, c := range curves {
		least, _ := limits(c.Y, 0)
		y = append(append(y, c.Y...), c.High...)
		for _, low := range c.Low {
			y = append(y, max(low, leastBand*least))
		}
	}
	return y
}

// seriesLine is how the i-th series is drawn.
func seriesLine(i int) draw.LineStyle {
	n, turn := seriesLook(i)
	return line(seriesInks[n], curveLine, seriesDashes[turn]...)
}

// seriesLook is the place of the i-th series among the inks, and among dashes and
// markers: where the inks begin again the others are one further.
func seriesLook(i int) (ink, turn int) {
	n := len(seriesInks)
	return i % n, (i + i/n) % n
}

// Apart is the first style from this one on whose ink none of the curves has, nor its dashes and marker; where they have them
// all, the first that looks like none of theirs.
func Apart(style int, curves []Curve) int {
	differs := []func(ink, turn bool) bool{
		func(ink, turn bool) bool { return !ink && !turn },
		func(ink, turn bool) bool { return !ink || !turn },
	}
	for _, apart := range differs {
		for next := style; next < style+len(seriesInks)*len(seriesDashes); next++ {
			ink, turn := seriesLook(next - 1)
			if !slices.ContainsFunc(curves, func(c Curve) bool {
				i, t := seriesLook(c.Style - 1)
				return !apart(ink == i, turn == t)
			}) {
				return next
			}
		}
	}
	return style
}

// layers draws the curve as the i-th series, its band below its line.
func (v Curve) layers(i int) []layer {
	i = v.place(i)
	return []layer{
		func(c draw.Canvas, p *plot.Plot) { v.drawBand(c, p, seriesInks[i%len(seriesInks)].faint()) },
		func(c draw.Canvas, p *plot.Plot) { v.drawLine(c, p, i) },
	}
}

func (v Curve) entry(i int) entry {
	i = v.place(i)
	n, turn := seriesLook(i)
	e := entry{text: v.Name, stroke: seriesLine(i), ink: seriesInks[n]}
	if v.PointsOnly {
		e.stroke.Width = 0
	}
	if v.marked() {
		e.marker = seriesMarkers[turn]
	}
	return e
}

// marked reports whether the points are few enough to mark each.
func (v Curve) marked() bool { return len(v.X) <= 40 }

// radius of the markers; without a line the first are larger, to be seen below the next.
func (v Curve) radius(i int) vg.Length {
	if v.PointsOnly && i == 0 {
		return 1.7 * markerRadius
	}
	return markerRadius
}

// drawable says whether y has a place on the axis.
func drawable(a plot.Axis, y float64) bool {
	_, log := a.Scale.(plot.LogScale)
	return !math.IsNaN(y) && !math.IsInf(y, 0) && (!log || y > 0)
}

func (v Curve) drawLine(c draw.Canvas, p *plot.Plot, i int) {
	x, y := p.Transforms(&c)
	var runs [][]vg.Point
	fresh := true
	for k := range v.X {
		if !drawable(p.Y, v.Y[k]) || !drawable(p.X, v.X[k]) {
			fresh = true
			continue
		}
		if fresh {
			runs, fresh = append(runs, nil), false
		}
		runs[len(runs)-1] = append(runs[len(runs)-1], vg.Point{X: x(v.X[k]), Y: y(v.Y[k])})
	}
	if !v.PointsOnly {
		c.StrokeLines(seriesLine(i), c.ClipLinesXY(runs...)...)
	}
	if !v.marked() {
		return
	}
	n, turn := seriesLook(i)
	for _, run := range runs {
		for _, at := range run {
			c.DrawGlyph(draw.GlyphStyle{Color: seriesInks[n], Radius: v.radius(i), Shape: seriesMarkers[turn]}, at)
		}
	}
}

func (v Curve) drawBand(c draw.Canvas, p *plot.Plot, in ink) {
	if len(v.Low) == 0 {
		return
	}
	x, y := p.Transforms(&c)
	inside := func(value, unknown float64) vg.Length {
		if math.IsNaN(value) {
			value = unknown
		}
		return y(max(min(value, p.Y.Max), p.Y.Min))
	}
	var outline []vg.Point
	for k := range v.X {
		if drawable(p.X, v.X[k]) {
			outline = append(outline, vg.Point{X: x(v.X[k]), Y: inside(v.Low[k], p.Y.Min)})
		}
	}
	for k := len(v.X) - 1; k >= 0; k-- {
		if drawable(p.X, v.X[k]) {
			outline = append(outline, vg.Point{X: x(v.X[k]), Y: inside(v.High[k], p.Y.Max)})
		}
	}
	c.FillPolygon(in, c.ClipPolygonXY(outline))
}
