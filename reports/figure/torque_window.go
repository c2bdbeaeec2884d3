package figure

import (
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"clampodds/sim/result"
)

// TorqueWindow shows the probability of missing each requirement against the
// nominal torque, and the window in which every requirement holds its target.
type TorqueWindow struct {
	// Torque is the x axis with its unit: "nominal torque [N·m]".
	Torque string
	// Curves have one requirement each.
	Curves []Curve
	// Targets mark the y axis: the requirement and the probability allowed.
	Targets []Mark
	// Interval is the window shaded; ends equal or NaN: there is none. Window says what
	// holds inside: it is not always allowed.
	result.Interval
	Window string
	// Marks label places on the x axis: the window's ends, the recommended torque.
	Marks []Mark
	Basis Basis
}

// Size implements Drawing.
func (t TorqueWindow) Size() (width, height vg.Length) { return pageWidth, 88 * vg.Millimeter }

// Draw implements Drawing.
func (t TorqueWindow) Draw(c draw.Canvas) {
	x, y := values(t.Curves...)
	for _, m := range t.Targets {
		y = append(y, m.At)
	}
	f := frame{x: linear(t.Torque, x...), y: probabilities("probability of missing", y...), top: t.Marks, right: slices.Clone(t.Targets), basis: t.Basis.text()}
	f.layers = []layer{t.shade}
	f.addCurves(t.Curves)
	if t.Low < t.High {
		f.legend = append(f.legend, entry{text: t.Window, patch: grid})
	}
	f.draw(c)
}

func (t TorqueWindow) shade(c draw.Canvas, p *plot.Plot) {
	if t.Low < t.High {
		x, _ := p.Transforms(&c)
		rectangle(c, grid, max(x(t.Low), c.Min.X), c.Min.Y, min(x(t.High), c.Max.X), c.Max.Y)
	}
}
