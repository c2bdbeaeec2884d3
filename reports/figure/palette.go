package figure

import (
	"fmt"
	"sort"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"clampodds/reports/internal/clean"
)

// ink is a colour of the look with its opacity. It is a color.Color.
type ink struct {
	rgb   uint32
	alpha uint8
}

// RGBA rounds the premultiplied values up, so that a canvas that divides the
// opacity out again and cuts off the fraction finds the very colour.
func (i ink) RGBA() (r, g, b, a uint32) {
	a = uint32(i.alpha) * 0x101
	channel := func(shift uint) uint32 {
		v := i.rgb >> shift & 0xff
		return min((v*a+254)/255+1, a)
	}
	return channel(16), channel(8), channel(0), a
}

// faint is the ink as a tint that shows what lies below, soft one that still
// shows as a colour.
func (i ink) faint() ink { return ink{i.rgb, 46} }
func (i ink) soft() ink  { return ink{i.rgb, 176} }

func solid(rgb uint32) ink { return ink{rgb, 0xff} }

// The inks. Text has a contrast of at least 4.5 to the paper, lines of 3.
var (
	paper   = solid(0xffffff)
	black   = solid(0x1b2129) // text, limits
	muted   = solid(0x56606b) // secondary text
	rule    = solid(0x8a939d) // axes
	grid    = solid(0xe3e7eb)
	chassis = solid(0xd3d8de) // rails and walls of the schematic
	body    = solid(0xf1f3f5) // clamp pieces
	card    = solid(0xbccbe0) // card frame and flange
)

// The colours of series: darkest to lightest in grey.
var seriesInks = []ink{solid(0x14305c), solid(0xa8431a), solid(0x1f8a84), solid(0xb58a17), solid(0x4b4b4b)}

// heat is the colour of what exceeds a limit, and of heat.
var heat = seriesInks[1]

// dashes and markers tell series apart without colour.
var (
	seriesDashes  = [][]vg.Length{nil, {5, 2.5}, {1.5, 2}, {7, 2, 1.5, 2}, {3, 1.5}}
	seriesMarkers = []draw.GlyphDrawer{draw.CircleGlyph{}, draw.BoxGlyph{}, draw.PyramidGlyph{}, draw.RingGlyph{}, draw.CrossGlyph{}}
)

// onDark gives every ink its counterpart on a dark page.
var onDark = []struct {
	light ink
	dark  uint32
}{
	{paper, 0x161a1f},
	{black, 0xe6e9ed},
	{muted, 0xa7b0ba},
	{rule, 0x6d7680},
	{grid, 0x2c333b},
	{chassis, 0x3c454e},
	{body, 0x262c33},
	{card, 0x2f4a6b},
	{seriesInks[0], 0x6ea2ee},
	{seriesInks[1], 0xf0926a},
	{seriesInks[2], 0x6fd6cd},
	{seriesInks[3], 0xf2dc8c},
	{seriesInks[4], 0x8f8f8f},
}

func variable(i int) string { return fmt.Sprintf("--ink%d", i) }

// LightVariables and DarkVariables are style sheet declarations of the colours
// that InlineSVG refers to, for a light and for a dark page.
func LightVariables() string { return declarations(func(i int) uint32 { return onDark[i].light.rgb }) }

// DarkVariables is the counterpart of LightVariables.
func DarkVariables() string { return declarations(func(i int) uint32 { return onDark[i].dark }) }

func declarations(colour func(int) uint32) string {
	var b strings.Builder
	for i := range onDark {
		fmt.Fprintf(&b, "%s:#%06x;", variable(i), colour(i))
	}
	return b.String()
}

// variables replaces the inks of an SVG text by the page's variables.
func variables() *strings.Replacer {
	var pairs []string
	for i, o := range onDark {
		pairs = append(pairs, fmt.Sprintf("#%06X", o.light.rgb), "var("+variable(i)+")")
	}
	return strings.NewReplacer(pairs...)
}

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
