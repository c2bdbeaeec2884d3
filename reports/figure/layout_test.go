package figure

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/recorder"
	"pgregory.net/rapid"

	"clampodds/sim/result"
)

// watcher notes the box of every text that is drawn. The figures turn text by a
// quarter at most and move nothing else.
type watcher struct {
	recorder.Canvas
	turned []bool
	texts  []box
}

type box struct {
	x0, y0, x1, y1 vg.Length
	text           string
}

func (w *watcher) Push()            { w.turned = append(w.turned, len(w.turned) > 0 && w.turned[len(w.turned)-1]) }
func (w *watcher) Pop()             { w.turned = w.turned[:len(w.turned)-1] }
func (w *watcher) Rotate(r float64) { w.turned[len(w.turned)-1] = math.Abs(r-math.Pi/2) < 1e-9 }

func (w *watcher) FillString(f font.Face, at vg.Point, s string) {
	// The ink of digits and capitals: from the baseline to a capital's height.
	width, height := f.Width(s), 0.72*f.Font.Size
	if len(w.turned) > 0 && w.turned[len(w.turned)-1] {
		w.texts = append(w.texts, box{-at.Y - height, at.X, -at.Y, at.X + width, s})
		return
	}
	w.texts = append(w.texts, box{at.X, at.Y, at.X + width, at.Y + height, s})
}

// flaws lists the texts that overlap or leave the figure.
func flaws(d Drawing) (list []string) {
	var w watcher
	width, height := d.Size()
	d.Draw(draw.NewCanvas(&w, width, height))
	for i, a := range w.texts {
		if a.x0 < 0 || a.y0 < 0 || a.x1 > width || a.y1 > height {
			list = append(list, fmt.Sprintf("%q is cut: %.1f %.1f to %.1f %.1f", a.text, a.x0, a.y0, a.x1, a.y1))
		}
		for _, b := range w.texts[:i] {
			if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
				list = append(list, fmt.Sprintf("%q lies on %q", a.text, b.text))
			}
		}
	}
	if len(w.texts) < 3 {
		list = append(list, "hardly any text")
	}
	return list
}

func TestNoTextOverlapsOrIsCut(t *testing.T) {
	for name, d := range demo() {
		assert.Empty(t, flaws(d), name)
	}
}

// More labels than have room: the ones to the left give way, the limit stays.
func TestTooManyMarksGiveWay(t *testing.T) {
	d := Distribution{Quantity: "x", Bins: Bins{[]float64{0, 100}, []float64{1}}, Limit: &Mark{50, "limit", "50 °C"}, Basis: Basis{1, "cards"}}
	for i := range 12 {
		d.Marks = append(d.Marks, Mark{float64(8 * i), fmt.Sprintf("percentile %d", i), "value"})
	}
	assert.Empty(t, flaws(d))
	text := string(SVG(d, Description{}))
	assert.Contains(t, text, ">50 °C<")
	assert.Contains(t, text, ">percentile 11<")
	assert.NotContains(t, text, ">percentile 0<")
}

func words(t *rapid.T, name string) string {
	return rapid.StringMatching(`[A-Za-z ,µ°]{0,60}`).Draw(t, name)
}

func number(low, high float64) *rapid.Generator[float64] { return rapid.Float64Range(low, high) }

func marks(t *rapid.T, name string, low, high float64) []Mark {
	var list []Mark
	for range rapid.IntRange(0, 9).Draw(t, name) {
		list = append(list, Mark{number(low, high).Draw(t, "at"), rapid.StringMatching(`[a-z]{0,30}`).Draw(t, "label"), rapid.StringMatching(`[0-9.]{0,12}`).Draw(t, "value")})
	}
	return list
}

func curve(t *rapid.T, low, high float64) Curve {
	c := Curve{Name: words(t, "name")}
	x := 0.0
	for range rapid.IntRange(0, 50).Draw(t, "points") {
		x += number(0.1, 1).Draw(t, "step")
		y := number(low, high).Draw(t, "y")
		c.X, c.Y, c.Low, c.High = append(c.X, x), append(c.Y, y), append(c.Low, y*0.9), append(c.High, y*1.1)
	}
	return c
}

// Whatever a command fills in, labels keep apart and inside.
func TestNoTextOverlapsWhateverTheNumbers(t *testing.T) {
	of := Basis{Samples: 123456789, Of: "cards"}
	limited := func(t *rapid.T, low, high float64) *Mark {
		if rapid.Bool().Draw(t, "limited") {
			return &Mark{number(low, high).Draw(t, "limit"), "limit", "85 °C"}
		}
		return nil
	}
	kinds := map[string]func(t *rapid.T) Drawing{
		"distribution": func(t *rapid.T) Drawing {
			var middles, counts []float64
			for range rapid.IntRange(0, 30).Draw(t, "values") {
				middles, counts = append(middles, number(-1e3, 1e3).Draw(t, "value")), append(counts, number(0, 1e6).Draw(t, "count"))
			}
			return Distribution{Quantity: words(t, "quantity"), Bins: Rebin(middles, counts, 60), Marks: marks(t, "marks", -1e3, 1e3), Limit: limited(t, -1e3, 1e3), Basis: of}
		},
		"exceedance": func(t *rapid.T) Drawing {
			return Curves{X: Axis{Label: words(t, "quantity")}, Y: Axis{"probability of exceeding", Probability}, Curves: []Curve{curve(t, 0, 1), curve(t, 1e-12, 1e-3)}, Limit: limited(t, 0, 50), Target: limited(t, 1e-9, 1), Basis: of}
		},
		"drivers": func(t *rapid.T) Drawing {
			d := Drivers{Measure: words(t, "measure"), Basis: of}
			for range rapid.IntRange(0, 12).Draw(t, "bars") {
				v := number(-100, 100).Draw(t, "value")
				d.Bars = append(d.Bars, Bar{words(t, "bar"), rapid.StringMatching(`[0-9.]{0,30}`).Draw(t, "text"), v, result.Interval{Low: v - 5, High: v + 5}})
			}
			return d
		},
		"torque window": func(t *rapid.T) Drawing {
			var curves []Curve
			for range rapid.IntRange(1, 14).Draw(t, "curves") {
				curves = append(curves, curve(t, 1e-9, 1))
			}
			least := number(0, 50).Draw(t, "least")
			return Setting{Axis: words(t, "torque"), Curves: curves, Bounds: []Curve{curve(t, 1e-9, 1)}, Least: least, Most: least + number(-1, 30).Draw(t, "most"), NotAllowed: words(t, "not allowed"), Targets: marks(t, "targets", 1e-6, 1), Interval: result.Interval{Low: 3, High: number(0, 50).Draw(t, "high")}, Window: words(t, "window"), Marks: marks(t, "marks", 0, 50), Basis: of}
		},
		"change": func(t *rapid.T) Drawing {
			return Change{Quantity: words(t, "quantity"), Base: curve(t, 1e-6, 1), New: curve(t, 1e-6, 1), Difference: curve(t, -1, 1), Limit: limited(t, 0, 50), Margin: limited(t, -1, 1), Basis: of}
		},
		"convergence": func(t *rapid.T) Drawing {
			return Curves{X: Axis{"cards so far", Logarithmic}, Y: Axis{Label: words(t, "quantity")}, Height: 64, Curves: []Curve{curve(t, -1e4, 1e4)}, Target: limited(t, -1, 1), Basis: of}
		},
		"along clamp": func(t *rapid.T) Drawing {
			left, right := curve(t, 20, 90), curve(t, 20, 90)
			left.PointsOnly, right.PointsOnly = true, true
			return Curves{X: Axis{Label: words(t, "x")}, Y: Axis{Label: words(t, "y")}, Height: 64, Curves: []Curve{left, right}, Target: limited(t, 20, 120), Basis: of}
		},
		"heat split": func(t *rapid.T) Drawing {
			h := HeatSplit{
				ClampWidth: number(3, 12).Draw(t, "width"), ClampHeight: number(3, 15).Draw(t, "height"), FlangeThickness: number(1, 6).Draw(t, "flange"), ScrewDiameter: 3,
				Paths: []HeatPath{{LowerRail, 0.5, "50.0 %", words(t, "lower")}, {UpperRail, 0.3, "30.0 %", words(t, "upper")}},
			}
			h.SlotWidth = h.ClampHeight + h.FlangeThickness + number(-1, 2).Draw(t, "expansion")
			if rapid.Bool().Draw(t, "four-face") {
				h.Paths = append(h.Paths, HeatPath{SideWall, 0.2, "20.0 %", words(t, "side")})
			}
			return h
		},
	}
	for name, draw := range kinds {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				if list := flaws(draw(t)); len(list) > 0 {
					t.Fatalf("%q", list)
				}
			})
		})
	}
}

// A chassis has many curves: the figure grows with the rows of the legend, and the plot keeps its height.
func TestManyCurvesLeaveThePlotItsHeight(t *testing.T) {
	foot := func(curves int) (whole, left vg.Length) {
		s := Setting{Axis: "torque [N·m]"}
		for range curves {
			s.Curves = append(s.Curves, Curve{Name: "hottest spot of the edges, slot power.1, outputs at full load", X: []float64{1, 2}, Y: []float64{1e-3, 1e-4}})
		}
		width, height := s.Size()
		c := sheet(draw.Canvas{Canvas: &recorder.Canvas{}, Rectangle: vg.Rectangle{Max: vg.Point{X: width, Y: height}}})
		f := s.frame()
		rest := drawFoot(c, f.legend, f.basis)
		return height, rest.Max.Y - rest.Min.Y
	}
	few, ofFew := foot(3)
	many, ofMany := foot(14)
	assert.Greater(t, many, few)
	assert.InDelta(t, float64(ofFew), float64(ofMany), float64(2*footRow))
}
