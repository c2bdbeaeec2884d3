package figure

import (
	"fmt"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
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
