package figure

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// linearRGB undoes the encoding of sRGB (IEC 61966-2-1).
func linearRGB(rgb uint32) (c [3]float64) {
	for i := range c {
		v := float64(rgb>>(16-8*i)&0xff) / 255
		if v <= 0.04045 {
			c[i] = v / 12.92
		} else {
			c[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return c
}

func luminance(c [3]float64) float64 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }

// contrast of two colours (WCAG 2, contrast ratio).
func contrast(a, b uint32) float64 {
	x, y := luminance(linearRGB(a)), luminance(linearRGB(b))
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// lab converts to CIE L*a*b* for the white of sRGB (D65).
func lab(c [3]float64) [3]float64 {
	xyz := [3]float64{
		(0.4124*c[0] + 0.3576*c[1] + 0.1805*c[2]) / 0.9505,
		luminance(c),
		(0.0193*c[0] + 0.1192*c[1] + 0.9505*c[2]) / 1.089,
	}
	var f [3]float64
	for i, v := range xyz {
		if f[i] = math.Cbrt(v); v < 0.008856 {
			f[i] = 7.787*v + 16.0/116
		}
	}
	return [3]float64{116*f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])}
}

func distance(a, b [3]float64) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

// Full loss of one kind of cone, on linear RGB: Machado, Oliveira and Fernandes
// 2009, table of severity 1.0 (from memory).
var coneLoss = map[string][3][3]float64{
	"normal": {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protan": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deutan": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritan": {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

func seen(c [3]float64, loss [3][3]float64) (out [3]float64) {
	for i, row := range loss {
		out[i] = min(max(row[0]*c[0]+row[1]*c[1]+row[2]*c[2], 0), 1)
	}
	return out
}

func TestSeriesAreToldApart(t *testing.T) {
	dark := map[ink]uint32{}
	for _, o := range onDark {
		dark[o.light] = o.dark
	}
	for i, a := range seriesInks {
		for j, b := range seriesInks[:i] {
			// Without colour: 6 steps of lightness of 100 are plain side by side, and
			// dash and marker differ as well (common practice, no source).
			assert.Greater(t, math.Abs(lab(linearRGB(a.rgb))[0]-lab(linearRGB(b.rgb))[0]), 6.0, "grey %d %d", i, j)
			for name, loss := range coneLoss {
				// A difference of 2.3 is just visible; 15 is plain (common practice, no source).
				assert.Greater(t, distance(lab(seen(linearRGB(a.rgb), loss)), lab(seen(linearRGB(b.rgb), loss))), 15.0, "%s %d %d", name, i, j)
				assert.Greater(t, distance(lab(seen(linearRGB(dark[a]), loss)), lab(seen(linearRGB(dark[b]), loss))), 15.0, "%s on dark %d %d", name, i, j)
			}
		}
	}
}

// Seven requirements are more than there are inks: none looks like another.
func TestManySeriesAreToldApart(t *testing.T) {
	looks := map[[2]int]bool{}
	for i := range len(seriesInks) * len(seriesDashes) {
		n, turn := seriesLook(i)
		assert.False(t, looks[[2]int{n, turn}], "series %d", i)
		looks[[2]int{n, turn}] = true
	}
}

func TestContrast(t *testing.T) {
	// WCAG 2.1: 4.5 for text (1.4.3), 3 for graphics (1.4.11).
	least := map[ink]float64{black: 4.5, muted: 4.5, rule: 3}
	for _, s := range seriesInks {
		least[s] = 3
	}
	for _, o := range onDark {
		if want := least[o.light]; want > 0 {
			assert.GreaterOrEqual(t, contrast(o.light.rgb, paper.rgb), want, "%06x", o.light.rgb)
			assert.GreaterOrEqual(t, contrast(o.dark, onDark[0].dark), want, "%06x on dark", o.dark)
		}
	}
	// Text of the schematic that stands on a rail.
	assert.GreaterOrEqual(t, contrast(black.rgb, chassis.rgb), 4.5)
}

// Each ink reaches the SVG as the very colour, so that the page can replace it.
func TestInlineColoursAreAllVariables(t *testing.T) {
	literal := regexp.MustCompile(`#[0-9A-Fa-f]{6}`)
	names := regexp.MustCompile(`var\((--ink\d+)\)`)
	for name, d := range demo() {
		text := InlineSVG(d, Description{ID: "a"})
		assert.Empty(t, literal.FindAllString(text, -1), name)
		for _, m := range names.FindAllStringSubmatch(text, -1) {
			assert.True(t, strings.Contains(LightVariables(), m[1]+":#") && strings.Contains(DarkVariables(), m[1]+":#"), m[1])
		}
	}
}

// A chassis has more limits and conditions than there are looks; those of one figure are told apart all the same.
func TestCurvesOfAFigureLookApart(t *testing.T) {
	var curves []Curve
	seen := map[[2]int]bool{}
	for i := range 18 {
		style := Apart(3*i+1+18*(i%2), curves)
		curves = append(curves, Curve{Style: style})
		ink, turn := seriesLook(style - 1)
		assert.False(t, seen[[2]int{ink, turn}], i)
		seen[[2]int{ink, turn}] = true
	}
	assert.Equal(t, 2, Apart(2, curves[:1]), "a free look stays")

	// One fewer than there are inks differ in dash and marker too, whatever their places: without colour they are told apart.
	for place := 1; place <= 25; place++ {
		curves = curves[:0]
		inks, turns := map[int]bool{}, map[int]bool{}
		for i := range len(seriesInks) - 1 {
			curves = append(curves, Curve{Style: Apart(place+7*i, curves)})
			ink, turn := seriesLook(curves[i].Style - 1)
			inks[ink], turns[turn] = true, true
		}
		assert.Len(t, inks, len(curves), place)
		assert.Len(t, turns, len(curves), place)
	}
}
