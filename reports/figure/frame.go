package figure

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Mark is a labelled place on an axis: "P95" over "80.99", "limit" over "85 °C".
type Mark struct {
	At    float64
	Label string
	Value string
}

// layer draws one thing into the data area of a plot.
type layer func(c draw.Canvas, p *plot.Plot)

func (l layer) Plot(c draw.Canvas, p *plot.Plot) { l(c, p) }

// frame is a plot with strips about it: labels of vertical marks above, labels of
// horizontal marks to the right, the legend and the sample count below.
type frame struct {
	x, y   axis
	layers []layer
	// top has the marks on the x axis, the strong one (a limit) last; right those
	// on the y axis.
	top    []Mark
	strong *Mark
	right  []Mark
	legend []entry
	basis  string
}

// margin is the room about a figure; more to the right, where the last tick's
// label stands out.
const (
	margin      = 3 * vg.Length(1)
	marginRight = 12 * vg.Length(1)
)

// draw draws the whole figure.
func (f frame) draw(c draw.Canvas) {
	c = sheet(c)
	f.drawAt(drawFoot(c, f.legend, f.basis), 0)
}

// sheet fills the canvas with paper and returns what is inside the margins.
func sheet(c draw.Canvas) draw.Canvas {
	rectangle(c, paper, c.Min.X, c.Min.Y, c.Max.X, c.Max.Y)
	return draw.Crop(c, margin, -marginRight, margin, -margin)
}

// plot is the dressed plot.
func (f frame) plot() *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	dress(&p.X, f.x)
	dress(&p.Y, f.y)
	p.Add(layer(horizontalGrid))
	for _, l := range f.layers {
		p.Add(l)
	}
	p.Add(layer(f.drawTop), layer(f.drawRight))
	return p
}

// axisLabel is the room for the label of an axis.
const axisLabel = 15 * vg.Length(1)

// inner is the part of c for axes and data.
func (f frame) inner(c draw.Canvas) draw.Canvas {
	top, bottom := vg.Length(4), vg.Length(0)
	if len(f.marks()) > 0 {
		top = topStrip
	}
	if f.x.label != "" {
		bottom = axisLabel
	}
	return draw.Crop(c, axisLabel, -f.rightStrip(), bottom, -top)
}

// left is the width of the y axis with its labels.
func (f frame) left(c draw.Canvas) vg.Length {
	inner := f.inner(c)
	return f.plot().DataCanvas(inner).Min.X - inner.Min.X
}

// drawAt draws the plot with its strips so that the data start no further left
// than at left, for plots one above the other.
func (f frame) drawAt(c draw.Canvas, left vg.Length) {
	if own := f.left(c); own < left {
		c = draw.Crop(c, left-own, 0, 0, 0)
	}
	inner, p := f.inner(c), f.plot()
	p.Draw(inner)
	labelAxes(c, p.DataCanvas(inner), f.x.label, f.y.label)
}

// labelAxes writes the labels at the edges of c, beside the middle of the data.
func labelAxes(c, data draw.Canvas, x, y string) {
	text := style(normalType, black)
	text.XAlign = draw.XCenter
	write(c, text, data.Center().X, c.Min.Y+axisLabel/2-2, data.Max.X-data.Min.X, x)
	text.Rotation = math.Pi / 2
	write(c, text, c.Min.X+axisLabel/2-3, data.Center().Y, 2*min(data.Center().Y-c.Min.Y, c.Max.Y-data.Center().Y), y)
}

func horizontalGrid(c draw.Canvas, p *plot.Plot) {
	_, y := p.Transforms(&c)
	for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		if !t.IsMinor() {
			c.StrokeLine2(line(grid, hairline), c.Min.X, y(t.Value), c.Max.X, y(t.Value))
		}
	}
}
