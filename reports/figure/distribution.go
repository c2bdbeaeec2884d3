package figure

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Distribution shows how a quantity is distributed: a histogram with its
// percentiles and the limit, the bins beyond the limit in another colour.
type Distribution struct {
	// Quantity is the x axis with its unit: "hotter edge, mean [°C]".
	Quantity string
	Bins     Bins
	// Marks are the percentiles. Limit is nil without one.
	Marks []Mark
	Limit *Mark
	Basis Basis
}

var withinInk = seriesInks[0].soft()

func (d Distribution) Size() (width, height vg.Length) { return pageWidth, 72 * vg.Millimeter }

func (d Distribution) Draw(c draw.Canvas) {
	covered := d.Bins.Edges
	if d.Limit != nil {
		covered = append([]float64{d.Limit.At}, covered...)
	}
	f := frame{
		x: linear(d.Quantity, covered...), y: fromZero(d.Basis.Of+" in each bin", d.Bins.Counts...),
		layers: []layer{d.bars}, top: d.Marks, strong: d.Limit, basis: d.Basis.text(),
	}
	if d.Limit != nil {
		f.legend = []entry{{text: "within the limit", patch: withinInk}, {text: "beyond the limit", patch: heat}}
	}
	f.draw(c)
}

func (d Distribution) bars(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	for i, n := range d.Bins.Counts {
		if n == 0 {
			continue
		}
		in := withinInk
		if d.Limit != nil && d.Bins.Edges[i] >= d.Limit.At { // a bin that the limit cuts is not beyond it
			in = heat
		}
		// A bin with few counts still shows.
		top := max(y(n), c.Min.Y+0.8)
		left, right := x(d.Bins.Edges[i]), x(d.Bins.Edges[i+1])
		rectangle(c, in, left, c.Min.Y, max(right-0.4, left+0.3), top)
	}
}
