package figure

import (
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"clampodds/sim/result"
)

// Bar is one bar of Drivers.
type Bar struct {
	Name string
	// Text is the value as printed, to the right of the bar.
	Text string
	// Value is the bar's end with its interval; NaN draws none.
	Value float64
	result.Interval
}

// Drivers shows what each input contributes: a bar with its interval for each,
// the name to the left and the value to the right.
type Drivers struct {
	// Measure is the x axis with its unit: "share of the variance [%]".
	Measure string
	// Bars are drawn from the top down in the order given.
	Bars  []Bar
	Basis Basis
}

const barPitch = 15 * vg.Length(1)

func (d Drivers) Size() (width, height vg.Length) {
	return pageWidth, 56 + barPitch*vg.Length(max(len(d.Bars), 1))
}

func (d Drivers) Draw(c draw.Canvas) {
	var ends []float64
	for _, b := range d.Bars {
		ends = append(ends, b.Value, b.Low, b.High)
	}
	ends = slices.DeleteFunc(ends, math.IsNaN)
	c = drawFoot(sheet(c), []entry{
		{text: "estimate", patch: seriesInks[0]},
		{text: "interval", stroke: line(heat, thinLine)},
	}, d.Basis.text())
	names, texts := vg.Length(0), vg.Length(0)
	for _, b := range d.Bars {
		names = max(names, widthOf(b.Name, 0.4*(c.Max.X-c.Min.X)))
		texts = max(texts, widthOf(b.Text, widestLabel))
	}
	bars := func(c draw.Canvas, p *plot.Plot) { d.bars(c, p, names, texts) }
	drawRows(c, draw.Crop(c, names+6, -texts-6, axisLabel, -2), fromZero(d.Measure, ends...), len(d.Bars), bars)
}

// drawRows draws so many rows, from the top down, over an axis of their values; inner is the part of c for axis and data.
func drawRows(c, inner draw.Canvas, x axis, rows int, layers ...layer) {
	p := plot.New()
	p.BackgroundColor = nil
	dress(&p.X, x)
	dress(&p.Y, axis{min: -0.5, max: float64(max(rows, 1)) - 0.5})
	p.Y.Tick.Marker = plot.ConstantTicks(nil)
	p.Y.LineStyle.Width = 0
	p.Add(layer(verticalGrid))
	for _, l := range layers {
		p.Add(l)
	}
	p.Draw(inner)
	labelAxes(c, p.DataCanvas(inner), x.label, "")
}

// widthOf is that of a small text in the room it has.
func widthOf(s string, room vg.Length) vg.Length {
	small := style(smallType, black)
	return small.Width(fit(s, small, room))
}

// whisker draws an interval with its ends.
func whisker(c draw.Canvas, stroke draw.LineStyle, low, high, y vg.Length) {
	c.StrokeLine2(stroke, low, y, high, y)
	c.StrokeLine2(stroke, low, y-3, low, y+3)
	c.StrokeLine2(stroke, high, y-3, high, y+3)
}

func verticalGrid(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	for _, t := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
		c.StrokeLine2(line(grid, hairline), x(t.Value), c.Min.Y, x(t.Value), c.Max.Y)
	}
}

func (d Drivers) bars(c draw.Canvas, p *plot.Plot, names, texts vg.Length) {
	x, y := p.Transforms(&c)
	left, right := style(smallType, black), style(smallType, black)
	left.XAlign = draw.XRight
	for i, b := range d.Bars {
		middle := y(float64(len(d.Bars) - 1 - i))
		write(c, left, c.Min.X-6, middle, names+0.1, b.Name)
		write(c, right, c.Max.X+6, middle, texts+0.1, b.Text)
		if !math.IsNaN(b.Value) {
			rectangle(c, seriesInks[0], x(0), middle-3.5, x(b.Value), middle+3.5)
		}
		if b.Low <= b.High && !math.IsInf(b.Low, 0) && !math.IsInf(b.High, 0) {
			whisker(c, line(heat, thinLine), x(b.Low), x(b.High), middle)
		}
	}
	c.StrokeLine2(line(rule, hairline), x(0), c.Min.Y, x(0), c.Max.Y)
}
