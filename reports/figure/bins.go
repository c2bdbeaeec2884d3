package figure

import "math"

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
