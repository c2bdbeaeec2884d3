package figure

import (
	"sort"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"clampodds/reports/internal/clean"
)

// Sizes of type and the weights of lines.
const (
	smallType  = 8 * vg.Length(1)
	normalType = 9 * vg.Length(1)

	hairline  = 0.5 * vg.Length(1)
	thinLine  = 0.9 * vg.Length(1)
	curveLine = 1.6 * vg.Length(1)
)

// style is type of a size and ink, set from the left on its baseline's line box
// unless the caller turns the alignment.
func style(size vg.Length, in ink) text.Style {
	return text.Style{
		Color:   in,
		Font:    font.Font{Typeface: "Liberation", Variant: "Sans", Size: size},
		XAlign:  draw.XLeft,
		YAlign:  draw.YCenter,
		Handler: text.Plain{Fonts: font.DefaultCache},
	}
}

// fit cleans s and shortens it to a width.
func fit(s string, sty text.Style, width vg.Length) string {
	s = strings.TrimSpace(clean.Line(s))
	if sty.Width(s) <= width {
		return s
	}
	runes := []rune(s)
	most := sort.Search(len(runes), func(n int) bool { return sty.Width(string(runes[:n+1])+"…") > width }) // as fit with the dots
	return string(runes[:most]) + "…"
}

// write sets s in a box that is not wider than width, aligned about its corner
// or side x, y as the style says.
func write(c draw.Canvas, sty text.Style, x, y, width vg.Length, s string) {
	at := vg.Point{X: x, Y: y}
	if sty.Rotation == 0 {
		at.Y += sty.FontExtents().Descent // the library centres the line without what hangs below it
	}
	c.FillText(sty, at, fit(s, sty, width))
}

// line is a stroke in the look.
func line(in ink, width vg.Length, dashes ...vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: in, Width: width, Dashes: dashes}
}

// rectangle fills a rectangle.
func rectangle(c draw.Canvas, in ink, x0, y0, x1, y1 vg.Length) {
	c.FillPolygon(in, []vg.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}})
}

// toScale draws on a canvas in mm from an origin.
type toScale struct {
	c      draw.Canvas
	origin vg.Point
	scale  vg.Length // points per mm
}

func (s *toScale) at(x, y float64) vg.Point {
	return vg.Point{X: s.origin.X + s.scale*vg.Length(x), Y: s.origin.Y + s.scale*vg.Length(y)}
}

// outline fills a part and draws its edge.
func (s *toScale) outline(in ink, corners ...vg.Point) {
	s.c.FillPolygon(in, corners)
	s.c.StrokeLines(line(muted, hairline), append(corners, corners[0]))
}

func (s *toScale) box(in ink, x0, y0, x1, y1 float64) {
	s.outline(in, s.at(x0, y0), s.at(x1, y0), s.at(x1, y1), s.at(x0, y1))
}
