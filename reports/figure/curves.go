package figure

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Curves shows curves over two axes: how likely a quantity exceeds each value, how an estimate settled, readings
// against what was expected.
type Curves struct {
	X, Y   Axis
	Curves []Curve
	// Limit marks the x axis, Target the y axis; nil without one.
	Limit, Target *Mark
	Basis         Basis
	Height        float64 // mm; 80 unless given
}

// Axis is an axis with its unit: "hotter edge, mean [°C]".
type Axis struct {
	Label string
	Scale Scale
}

// Scale is that of an axis.
type Scale int

// The scales.
const (
	Linear      Scale = iota
	WithZero          // linear, 0 included
	Logarithmic       // from the smallest to the largest value
	Probability       // logarithmic, over powers of ten; a band that nears 0 does not press the rest together
)

// over is the axis that covers values.
func (a Axis) over(values []float64) axis {
	switch a.Scale {
	case WithZero:
		values = append(values, 0)
	case Logarithmic:
		return logarithmic(a.Label, values...)
	case Probability:
		return probabilities(a.Label, values...)
	}
	return linear(a.Label, values...)
}

func (v Curves) Size() (width, height vg.Length) {
	if v.Height == 0 {
		v.Height = 80
	}
	return pageWidth, vg.Length(v.Height) * vg.Millimeter
}

func (v Curves) Draw(c draw.Canvas) {
	x, y := values(v.Curves...)
	if v.Y.Scale == Probability {
		y = tails(v.Curves...)
	}
	f := frame{strong: v.Limit, basis: v.Basis.text()}
	if v.Limit != nil {
		x = append(x, v.Limit.At)
	}
	if v.Target != nil {
		f.right = []Mark{*v.Target}
		y = append(y, v.Target.At)
	}
	f.x, f.y = v.X.over(x), v.Y.over(y)
	f.addCurves(v.Curves)
	f.draw(c)
}

// addCurves adds the curves as series with their lines of the legend.
func (f *frame) addCurves(curves []Curve) {
	for i, v := range curves {
		f.layers = append(f.layers, v.layers(i)...)
		f.legend = append(f.legend, v.entry(i))
	}
}
