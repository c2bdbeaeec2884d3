package sim

import "math"

// Bins are counted from zero in both directions: bin i holds values in
// [i w, (i+1) w), w the width, for |i| < linearBins. Beyond, where no physical
// quantity of a study belongs but a broken model may go, bins widen with the
// value, 4096 to each doubling, so that the number of bins is bounded for every
// finite float64.
const (
	linearBins   = 1 << 23 // 8389 K at 1 mK
	mantissaBits = 12
	mantissaDrop = 52 - mantissaBits
	largestBin   = linearBins + (1024-23)<<mantissaBits // above every finite value/width
)

// binOf returns the bin of the finite number q = value/width.
func binOf(q float64) int {
	if math.Abs(q) < linearBins {
		return int(math.Floor(q))
	}
	// The leading bits of a float64 order like the number itself.
	tail := int(math.Float64bits(math.Abs(q))>>mantissaDrop) - int(math.Float64bits(linearBins)>>mantissaDrop)
	bin := min(linearBins+tail, largestBin)
	if q < 0 {
		return -bin - 1
	}
	return bin
}

// binEdge returns the lower edge of a bin, in widths; the upper edge is the
// lower edge of the next bin.
func binEdge(bin int) float64 {
	switch {
	case bin < -linearBins:
		return -binEdge(-bin)
	case bin <= linearBins:
		return float64(bin)
	case bin == largestBin: // values whose quotient by the width overflows
		return math.MaxFloat64
	case bin > largestBin:
		return math.Inf(1)
	}
	return math.Float64frombits(uint64(bin-linearBins)<<mantissaDrop + math.Float64bits(linearBins))
}
