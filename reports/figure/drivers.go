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

// Size implements Drawing.
func (d Drivers) Size() (width, height vg.Length) {
	return pageWidth, 56 + barPitch*vg.Length(max(len(d.Bars), 1))
}

// Draw implements Drawing.
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

	small := style(smallType, black)
	names, values := vg.Length(0), vg.Length(0)
	for _, b := range d.Bars {
		names = max(names, small.Width(fit(b.Name, small, 0.4*(c.Max.X-c.Min.X))))
		values = max(values, small.Width(fit(b.Text, small, widestLabel)))
	}
	p := plot.New()
	p.BackgroundColor = nil
	dress(&p.X, fromZero(d.Measure, ends...))
	dress(&p.Y, axis{min: -0.5, max: float64(len(d.Bars)) - 0.5})
	p.Y.Tick.Marker = plot.ConstantTicks(nil)
	p.Y.LineStyle.Width = 0
	p.Add(layer(verticalGrid), layer(func(c draw.Canvas, p *plot.Plot) { d.bars(c, p, names, values) }))
	inner := draw.Crop(c, names+6, -values-6, axisLabel, -2)
	p.Draw(inner)
	labelAxes(c, p.DataCanvas(inner), d.Measure, "")
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
			stroke := line(heat, thinLine)
			c.StrokeLine2(stroke, x(b.Low), middle, x(b.High), middle)
			for _, end := range []float64{b.Low, b.High} {
				c.StrokeLine2(stroke, x(end), middle-3, x(end), middle+3)
			}
		}
	}
	c.StrokeLine2(line(rule, hairline), x(0), c.Min.Y, x(0), c.Max.Y)
}
