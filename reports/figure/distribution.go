package figure

import (
	"math"

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

// Bins counts values between edges: Counts[i] lie from Edges[i] up to Edges[i+1].
type Bins struct {
	Edges  []float64 // one more than Counts, ascending
	Counts []float64
}

// Rebin merges a fine histogram, given by the middle of each bin in any order and
// its count, into at most n >= 2 bins of equal width, whose edges are multiples of 1, 2 or
// 5 times a power of ten. Values that are not finite are left out; without any
// other the result is empty. Nothing is changed.
func Rebin(middles, counts []float64, n int) Bins {
	low, high := math.Inf(1), math.Inf(-1)
	for i, v := range middles {
		if counts[i] > 0 && math.Abs(v) <= math.MaxFloat64 {
			low, high = min(low, v), max(high, v)
		}
	}
	if low > high {
		return Bins{}
	}
	// One less, since the edges in general do not fall on the ends.
	step := RoundStep(max((high-low)/float64(max(n-1, 1)), max(math.Abs(low), math.Abs(high))*1e-9, 1e-300))
	for math.Floor(high/step)-math.Floor(low/step) >= float64(n) { // RoundStep forgives 1e-9
		step = RoundStep(1.5 * step)
	}
	first := math.Floor(low / step)
	b := Bins{Edges: []float64{first * step}}
	for last := math.Floor(high / step); float64(len(b.Counts))+first <= last; {
		b.Edges = append(b.Edges, (first+float64(len(b.Edges)))*step)
		b.Counts = append(b.Counts, 0)
	}
	for i, v := range middles {
		if at := math.Floor(v/step) - first; at >= 0 && at < float64(len(b.Counts)) {
			b.Counts[int(at)] += counts[i]
		}
	}
	return b
}
