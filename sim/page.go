package sim

import "math"

// pageBins is the number of bins that are allocated together.
const (
	pageShift = 10
	pageBins  = 1 << pageShift
)

// page counts the values of consecutive bins.
//
// Where values come in clusters, it carries for every threshold t at once the sum
// over clusters of k(t)², k(t) the number of the cluster's finite values above t:
// with these in descending order the j-th adds 2j-1, and the sum over the bins above
// t is exact, since 1 + 3 + ... + (2k-1) = k². What clusters lack in finite values
// is counted with every value they do have, so that the sum of k(t) m, m of n values
// finite, is n times the count less what is missing.
type page struct {
	// low has the last 16 bits, all there is of most, of a bin's values and, above them, of its
	// squares: to add is to wait for memory, so both are one word.
	low     [pageBins]uint32
	high    *[pageBins]inBin // the rest of values and squares, times 2^16; nil: 0
	missing *[pageBins]uint64
	total   inBin
}

// inBin is what a bin, or a page, has.
type inBin struct{ values, squares, missing uint64 }

func (n *inBin) add(other inBin) {
	n.values += other.values
	n.squares += other.squares
	n.missing += other.missing
}

// one is a value with its squares, as it is added to a word of low.
type one uint32

func newOne(squares uint32) one { return one(squares<<16 | 1) }

// carry takes to high what has left the bits of values and squares.
func (p *page) carry(slot int, sum uint64) {
	if p.high == nil {
		p.high = new([pageBins]inBin)
	}
	if uint16(sum) == 0 { // into the bits of the squares
		p.high[slot].values++
		sum -= 1 << 16
		p.low[slot] = uint32(sum)
	}
	p.high[slot].squares += sum >> 32
}

// put adds to a bin.
func (p *page) put(slot int, n inBin) {
	p.total.add(n)
	n.add(p.at(slot))
	p.low[slot] = uint32(n.squares&math.MaxUint16<<16 | n.values&math.MaxUint16)
	if n.values|n.squares > math.MaxUint16 {
		if p.high == nil {
			p.high = new([pageBins]inBin)
		}
		p.high[slot] = inBin{values: n.values >> 16, squares: n.squares >> 16}
	}
	if n.missing > 0 {
		if p.missing == nil {
			p.missing = new([pageBins]uint64)
		}
		p.missing[slot] = n.missing
	}
}

// at is what a bin has.
func (p *page) at(slot int) (n inBin) {
	low := uint64(p.low[slot])
	n.values, n.squares = low&math.MaxUint16, low>>16
	if p.high != nil {
		n.values += p.high[slot].values << 16
		n.squares += p.high[slot].squares << 16
	}
	if p.missing != nil {
		n.missing = p.missing[slot]
	}
	return n
}

// from is the sum from a bin to the end of the page.
func (p *page) from(slot int) (sum inBin) {
	if slot == 0 {
		return p.total
	}
	for ; slot < pageBins; slot++ {
		sum.add(p.at(slot))
	}
	return sum
}

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
