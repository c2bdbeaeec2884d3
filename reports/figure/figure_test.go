package figure

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"clampodds/reports/validation"
	"clampodds/sim/result"
	_ "clampodds/testdata/fixedseed"
)

func TestFiguresAreAsLookedAt(t *testing.T) {
	for name, d := range demo() {
		got := SVG(d, Description{ID: "demo", Title: name, Text: "Made-up numbers."})
		golden := filepath.Join("testdata", name+".svg")
		if validation.Updating() {
			require.NoError(t, os.WriteFile(golden, got, 0o644))
			continue
		}
		want, err := os.ReadFile(golden)
		require.NoError(t, err)
		assert.Equal(t, string(want), string(got), "%s: look at the figure, then run the test with -update", name)
	}
}

func TestSameBytesEachTime(t *testing.T) {
	first, second := demo(), demo()
	for name := range first {
		var a, b bytes.Buffer
		require.NoError(t, PNG(&a, first[name], 72))
		require.NoError(t, PNG(&b, second[name], 72))
		assert.Equal(t, a.Bytes(), b.Bytes(), name)
		about := Description{"id", "t", "d"}
		assert.Equal(t, SVG(first[name], about), SVG(second[name], about), name)
	}
}

func TestEveryFigureSaysItsSampleCount(t *testing.T) {
	for name, d := range demo() {
		text := string(SVG(d, Description{}))
		assert.True(t, strings.Contains(text, ">100002 cards<") || strings.Contains(text, ">nominal values, no samples<"), name)
	}
}

func TestSVGIsPlain(t *testing.T) {
	for name, d := range demo() {
		text := string(SVG(d, Description{ID: name, Title: "Title", Text: "Text"}))
		assert.Equal(t, 1, strings.Count(text, "http"), "%s: only the name space", name)
		assert.NotContains(t, text, "<!--")
		assert.NotContains(t, text, "<script")
		assert.NotContains(t, text, "NaN")
		assert.Contains(t, text, `role="img"`)
		assert.Contains(t, text, "<text", "text stays text")
		wellFormed(t, text)
	}
}

func wellFormed(t *testing.T, text string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		if _, err := d.Token(); err == io.EOF {
			return
		} else if err != nil {
			require.NoError(t, err)
		}
	}
}

func TestHostileTextIsHarmless(t *testing.T) {
	for _, bad := range []string{`<script>alert(1)</script>`, `"><image href="http://x/">`, "a\u202eb\x00\x1b[31m", strings.Repeat("W", 10000), "]]>&amp;", "\xff\xfe"} {
		mark := &Mark{At: 0.5, Label: bad, Value: bad}
		c := Curve{Name: bad, X: []float64{0, 1}, Y: []float64{0.1, 0.9}}
		of := Basis{Samples: 1, Of: bad}
		for _, d := range []Drawing{
			Distribution{Quantity: bad, Bins: Bins{[]float64{0, 1}, []float64{1}}, Marks: []Mark{*mark}, Limit: mark, Basis: of},
			Curves{X: Axis{Label: bad}, Y: Axis{bad, Probability}, Curves: []Curve{c}, Limit: mark, Target: mark, Basis: of},
			Drivers{Measure: bad, Bars: []Bar{{bad, bad, 1, result.Interval{Low: 0, High: 2}}}, Basis: of},
			HeatSplit{ClampWidth: 6, ClampHeight: 8, FlangeThickness: 3, SlotWidth: 11.6, ScrewDiameter: 3, Paths: []HeatPath{{LowerRail, 1, bad, bad}}},
		} {
			text := string(SVG(d, Description{ID: bad, Title: bad, Text: bad}))
			wellFormed(t, text)
			for _, sign := range []string{"<script", "<image", "\u202e", "\x1b", strings.Repeat("W", 401)} {
				assert.NotContains(t, text, sign)
			}
			assert.Empty(t, flaws(d))
		}
	}
}

// Results can have none, one or endless values: a figure is drawn all the same.
func TestOddValuesAreDrawn(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	odd := Curve{Name: "odd", X: []float64{1, 2, 3, 4}, Y: []float64{0, nan, inf, 0.5}, Low: []float64{0, nan, 0, nan}, High: []float64{1e-3, nan, inf, nan}}
	for name, d := range map[string]Drawing{
		"no bins": Distribution{Limit: &Mark{At: 85}}, "one bin": Distribution{Bins: Rebin([]float64{77}, []float64{5}, 60)},
		"odd curve": Curves{Y: Axis{Scale: Probability}, Curves: []Curve{odd, {}}, Target: &Mark{At: 0}}, "no curve": Curves{Y: Axis{Scale: Probability}},
		"no bars": Drivers{}, "odd bars": Drivers{Bars: []Bar{{"a", "", nan, result.Interval{Low: nan, High: nan}}, {"b", "", 1, result.Interval{Low: math.Inf(-1), High: inf}}}},
		"no window": Setting{Curves: []Curve{odd}, Interval: result.Interval{Low: nan, High: nan}}, "no change": Change{}, "odd change": Change{Base: odd, New: odd, Difference: odd},
		"no trace": Curves{X: Axis{Scale: Logarithmic}, Curves: []Curve{{}}}, "no edge": Curves{}, "no clamp": ClampLength{Length: 1, Height: 1, FlangeHeight: 1, ScrewDiameter: 1, Angle: 1}, "no design": Designs{}, "odd design": Designs{Rows: []DesignSpread{{"a", result.Interval{Low: nan, High: inf}, result.Interval{Low: nan, High: inf}, 1}}}, "no path": HeatSplit{ClampWidth: 6, ClampHeight: 8, FlangeThickness: 3, SlotWidth: 10},
	} {
		text := string(SVG(d, Description{}))
		assert.NotContains(t, text, "NaN", name)
		assert.NotContains(t, text, "Inf", name)
		assert.NoError(t, PNG(io.Discard, d, 72), name)
	}
}

func TestPNGHasItsResolution(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, PNG(&b, demo()["drivers"], PrintDPI))
	picture, err := png.Decode(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	// 165 mm at 300 dots per inch; the canvas rounds to whole dots.
	assert.InDelta(t, 165/25.4*300, picture.Bounds().Dx(), 1)
	// 300 dpi are 11811 dots per metre, 0x2e23.
	assert.Contains(t, b.String(), "pHYs\x00\x00\x2e\x23\x00\x00\x2e\x23\x01")
}

func TestSpreadKeepsOrderAndRoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 9).Draw(t, "n")
		wanted, sizes := make([]vg.Length, n), make([]vg.Length, n)
		at := vg.Length(0)
		for i := range wanted {
			at += vg.Length(rapid.Float64Range(0, 60).Draw(t, "gap"))
			wanted[i], sizes[i] = at, vg.Length(rapid.Float64Range(1, 40).Draw(t, "size"))
		}
		low, high := vg.Length(-5), max(at, total(sizes))
		got := spread(wanted, sizes, low, high)
		for i, c := range got {
			if c-sizes[i]/2 < low-1e-9 || c+sizes[i]/2 > high+1e-9 {
				t.Fatalf("label %d leaves the room", i)
			}
			if i > 0 && got[i-1]+sizes[i-1]/2 > c-sizes[i]/2+1e-9 {
				t.Fatalf("labels %d and %d overlap", i-1, i)
			}
		}
	})
}

func TestSpreadLeavesAloneWhatHasRoom(t *testing.T) {
	assert.Equal(t, []vg.Length{10, 30, 50}, spread([]vg.Length{10, 30, 50}, []vg.Length{10, 10, 10}, 0, 100))
	// Two at one place part by half a size each.
	assert.Equal(t, []vg.Length{25, 35}, spread([]vg.Length{30, 30}, []vg.Length{10, 10}, 0, 100))
	assert.Equal(t, []vg.Length{5}, spread([]vg.Length{0}, []vg.Length{10}, 0, 100))
}

func TestTicksAreRoundAndInside(t *testing.T) {
	labels := func(a axis) (list []string) {
		for _, k := range a.ticks() {
			assert.True(t, k.Value >= a.min-1e-9*math.Abs(a.max-a.min) && k.Value <= a.max+1e-9*math.Abs(a.max-a.min), "%v", k)
			if k.Label != "" {
				list = append(list, k.Label)
			}
		}
		return list
	}
	assert.Equal(t, []string{"70", "75", "80", "85", "90"}, labels(axis{min: 68, max: 92}))
	assert.Equal(t, []string{"-0.2", "0.0", "0.2", "0.4"}, labels(axis{min: -0.31, max: 0.595}))
	assert.Equal(t, []string{"1e-5", "1e-4", "1e-3", "0.01", "0.1", "1"}, labels(decades("", 3e-5, 0.9)))
	assert.Equal(t, []string{"1000", "10000", "100000"}, labels(decades("", 1020, 100000)))
	assert.Equal(t, []string{"1.048e-06", "1.0485e-06", "1.049e-06"}, labels(axis{min: 1.0479e-6, max: 1.0491e-6})[:3])
}

func TestRebinKeepsEveryValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		middles := rapid.SliceOfN(rapid.Float64Range(-500, 500), 1, 60).Draw(t, "middles")
		counts := rapid.SliceOfN(rapid.Float64Range(1, 9), len(middles), len(middles)).Draw(t, "counts")
		n := rapid.IntRange(2, 80).Draw(t, "n")
		b := Rebin(append(middles, math.NaN(), math.Inf(1)), append(counts, 1, 1), n)
		sum, want := 0.0, 0.0
		for i, c := range b.Counts {
			sum += c
			if !(b.Edges[i] < b.Edges[i+1]) {
				t.Fatal("edges do not ascend")
			}
		}
		for _, c := range counts {
			want += c
		}
		if len(b.Counts) > n || len(b.Edges) != len(b.Counts)+1 || math.Abs(sum-want) > 1e-9*want {
			t.Fatalf("%d bins of at most %d, %v of %v", len(b.Counts), n, sum, want)
		}
	})
}

// The ends lie a little further apart than a round step: 500 + 5e-7, one step or two.
func TestRebinBesideARoundStep(t *testing.T) {
	b := Rebin([]float64{500, -4.76837158203125e-07}, []float64{1, 1}, 2)
	assert.Equal(t, Bins{Edges: []float64{-1000, 0, 1000}, Counts: []float64{1, 1}}, b)
}

func TestTextHistogram(t *testing.T) {
	d := demo()["distribution"].(Distribution)
	for _, width := range []int{25, 40, 80, 200} {
		lines := d.Text(width, false)
		require.Len(t, lines, 1+textRows+3)
		assert.Contains(t, lines[0], "limit 85 °C")
		assert.Contains(t, strings.Join(lines, ""), "100002 cards")
		for _, l := range lines[:len(lines)-1] {
			assert.LessOrEqual(t, len([]rune(l)), min(width, widestText+textIndent))
			assert.NotContains(t, l, "\x1b")
		}
		bars := lines[1 : 1+textRows]
		at := strings.IndexRune(bars[0], '│')
		require.Positive(t, at)
		assert.Contains(t, bars[textRows-1], "│▁", "what exceeds the limit shows, however rare")
	}
	assert.Contains(t, strings.Join(d.Text(80, true), ""), colourHeat+"▁")
	assert.Nil(t, d.Text(20, false))
	assert.Nil(t, Distribution{}.Text(80, false))
}

func BenchmarkFigures(b *testing.B) {
	for name, d := range demo() {
		b.Run("figure="+name+"/form=png/dpi=300", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_ = PNG(io.Discard, d, PrintDPI)
			}
		})
	}
}

// The axis of a difference has what lies near the limit, or all of a curve that ends before it.
func TestDifferenceNearItsLimit(t *testing.T) {
	of := func(limit float64) []float64 {
		return Change{Difference: Curve{X: []float64{70, 72, 74}, Y: []float64{0.03, 0.01, 0.001}}, Limit: &Mark{At: limit}}.nearLimit()
	}
	assert.Equal(t, []float64{0.001}, of(74))
	assert.Equal(t, []float64{0.03, 0.01, 0.001}, of(82))
}
