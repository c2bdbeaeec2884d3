package figure

import (
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Change holds a new design against the base: above, the probability of
// exceeding each value in both; below, the difference with its interval.
type Change struct {
	// Quantity is the x axis with its unit, of both plots.
	Quantity  string
	Base, New Curve
	// Difference is new minus base at the same X.
	Difference Curve
	Limit      *Mark
	// Margin is the difference that still counts as safe; nil without one.
	Margin *Mark
	Basis  Basis
}

func (v Change) Size() (width, height vg.Length) { return pageWidth, 118 * vg.Millimeter }

func (v Change) Draw(c draw.Canvas) {
	x, _ := values(v.Base, v.New)
	if v.Limit != nil {
		x = append(x, v.Limit.At)
	}
	both := frame{x: linear(v.Quantity, x...), y: probabilities("probability of exceeding", tails(v.Base, v.New)...), strong: v.Limit}
	both.addCurves([]Curve{v.Base, v.New})

	d := v.nearLimit()
	below := frame{x: both.x, layers: append(v.Difference.layers(2), zero)}
	if v.Margin != nil {
		below.right = []Mark{*v.Margin}
		d = append(d, v.Margin.At)
	}
	if v.Limit != nil {
		below.layers = append(below.layers, upright(v.Limit.At))
	}
	below.y = fromZero("difference", d...)
	both.x.label = ""

	c = drawFoot(sheet(c), append(both.legend, v.Difference.entry(2)), v.Basis.text())
	height := c.Max.Y - c.Min.Y
	upper, lower := draw.Crop(c, 0, 0, 0.42*height, 0), draw.Crop(c, 0, 0, 0, -0.58*height)
	// One width of data for both.
	strip := max(both.rightStrip(), below.rightStrip())
	upper, lower = draw.Crop(upper, 0, both.rightStrip()-strip, 0, 0), draw.Crop(lower, 0, below.rightStrip()-strip, 0, 0)
	left := max(both.left(upper), below.left(lower))
	both.drawAt(upper, left)
	below.drawAt(lower, left)
}

// nearLimit are the values of the difference that its axis covers: those from a twentieth of
// the range below the limit on, since the large differences further down would press flat
// what decides; all without a limit, or where the curve ends before.
func (v Change) nearLimit() (d []float64) {
	from := math.Inf(-1)
	if v.Limit != nil && len(v.Difference.X) > 0 {
		last := slices.Max(v.Difference.X)
		if near := v.Limit.At - 0.05*(last-slices.Min(v.Difference.X)); near <= last {
			from = near
		}
	}
	for i, x := range v.Difference.X {
		if x >= from {
			d = append(d, v.Difference.Y[i])
			if len(v.Difference.Low) > 0 {
				d = append(d, v.Difference.Low[i], v.Difference.High[i])
			}
		}
	}
	return d
}

func zero(c draw.Canvas, p *plot.Plot) {
	_, y := p.Transforms(&c)
	c.StrokeLine2(line(rule, thinLine), c.Min.X, y(0), c.Max.X, y(0))
}

// upright draws a line through a place on the x axis.
func upright(at float64) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		x, _ := p.Transforms(&c)
		c.StrokeLine2(line(black, thinLine), x(at), c.Min.Y, x(at), c.Max.Y)
	}
}
