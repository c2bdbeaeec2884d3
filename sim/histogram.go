package sim

import (
	"fmt"
	"iter"
	"math"
	"slices"

	"clampodds/joint/lanes"
)

// Histogram counts values in bins of fixed width. Its memory grows with the
// spread of the values, not with their number, and is bounded; counts are whole
// numbers, so that values may come in any order. A value is known to its bin:
// percentiles err by at most half a width.
//
// Infinite values and NaN are counted apart. Adding is not safe for concurrent use,
// reading is.
type Histogram struct {
	width     float64
	firstPage int
	pages     []*page // nil: no values

	plusInfinity, minusInfinity, undefined uint64
	// clusterRows is the number of values in each cluster of dependent values.
	clusterRows int
	// sizeSquares is the sum over clusters of m².
	sizeSquares uint64
	scratch     []float64
}

// NewHistogram returns an empty histogram with bins of the given width, a
// finite positive number, else it panics. Values come in clusters of
// clusterRows >= 1 dependent values; 1 for independent values.
func NewHistogram(width float64, clusterRows int) *Histogram {
	if !(width > 0 && width <= math.MaxFloat64 && clusterRows >= 1) {
		panic(fmt.Sprintf("sim: histogram of width %v with clusters of %d", width, clusterRows))
	}
	return &Histogram{width: width, clusterRows: clusterRows}
}

// Add counts values: whole clusters one after another, as many values as a
// multiple of the cluster size. values is not changed.
func (h *Histogram) Add(values []float64) {
	size := h.clusterRows
	if size > smallCluster {
		for cluster := range slices.Chunk(values, size) {
			h.addCluster(cluster)
		}
		return
	}
	var w waiting
	whole := size * lanes.Count // clusters and rows
	for part := range slices.Chunk(values, len(w.bin)/whole*whole) {
		switch {
		case w.place(part, h.width):
			w.weigh(len(part), size)
			h.count(&w, len(part))
			h.sizeSquares += squareOf(size) * uint64(len(part)/size)
		case size == 1:
			for _, v := range part {
				if bin, finite := h.place(v); finite {
					h.put(bin, inBin{values: 1})
				}
			}
		default:
			for cluster := range slices.Chunk(part, size) {
				h.addCluster(cluster)
			}
		}
	}
}

// squareOf is what a cluster of whole size adds to sizeSquares, which values without clusters do not have.
func squareOf(size int) uint64 {
	if size == 1 {
		return 0
	}
	return uint64(size * size)
}

// smallCluster is up to how many values of a cluster weigh compares.
const smallCluster = 8

// waiting are values that are to be counted. What finds their bins, what weighs them and what waits for the
// memory of the bins are loops of their own: so a processor waits for many at once.
type waiting struct {
	bin [256]int32
	one [256]one
}

// place finds the bins of values, all of which have to be ordinary, else it returns false.
func (w *waiting) place(values []float64, width float64) bool {
	start := 0
	if lanes.Fast {
		divisor := lanes.Same(width)
		for ; start+lanes.Count <= len(values); start += lanes.Count {
			if !placeRow((*lanes.Places)(w.bin[start:]), (*lanes.Row)(values[start:]), &divisor) {
				return false
			}
		}
	}
	ordinary := true
	for i, v := range values[start:] {
		q := v / width
		ordinary = ordinary && math.Abs(q) < linearBins
		w.bin[(start+i)%len(w.bin)] = int32(math.Floor(q))
	}
	return ordinary
}

var noValue, mostOrdinary = lanes.Same(0), lanes.Same(linearBins)

// placeRow is place of a row. Not inlined: a function has vectors or floats.
//
//go:noinline
func placeRow(bin *lanes.Places, values *lanes.Row, width *lanes.Constant) bool {
	none, most, divisor, ordinary := noValue.Vector(), mostOrdinary.Vector(), width.Vector(), uint8(lanes.Every)
	for i := 0; i < lanes.Count; i += lanes.Width {
		q := values.At(i).Div(divisor)
		ordinary &= q.Max(none.Sub(q)).Less(most).ToBits()
		bin.Put(i, q.Floor())
	}
	lanes.Done()
	return ordinary == lanes.Every
}

// weigh finds the squares of n values in clusters of a size. Comparing all pairs is fast where sorting is
// not: which way a comparison goes cannot be foreseen, and no branch hangs on it. Values of
// one bin are in the order in which they come.
func (w *waiting) weigh(n, size int) {
	if size == 1 {
		for i := range w.one[:n] {
			w.one[i] = newOne(0)
		}
		return
	}
	for start := 0; start+size <= n; start += size {
		var above [smallCluster]uint32
		cluster := w.bin[start:][:size]
		for i, bin := range cluster {
			others := uint32(0)
			for j, earlier := range cluster[:i] {
				below := uint32(earlier-bin) >> 31
				above[j%smallCluster] += below
				others += 1 - below
			}
			above[i%smallCluster] = others
		}
		for i := range cluster {
			w.one[(start+i)%len(w.one)] = newOne(2*above[i%smallCluster] + 1)
		}
	}
}

func (h *Histogram) count(w *waiting, n int) {
	for i, bin := range w.bin[:n] {
		at := int(bin>>pageShift) - h.firstPage
		if uint(at) >= uint(len(h.pages)) || h.pages[at] == nil {
			h.newPage(int(bin >> pageShift))
			at = int(bin>>pageShift) - h.firstPage
		}
		p, slot, v := h.pages[at], int(bin&(pageBins-1)), w.one[i]
		p.total.values++
		p.total.squares += uint64(v >> 16)
		sum := uint64(p.low[slot]) + uint64(v)
		p.low[slot] = uint32(sum)
		if sum > math.MaxUint32 || uint16(sum) == 0 {
			p.carry(slot, sum)
		}
	}
}

// addCluster counts the values of one cluster with their weights.
func (h *Histogram) addCluster(cluster []float64) {
	h.scratch = append(h.scratch[:0], cluster...)
	slices.Sort(h.scratch)
	low, high := 0, len(h.scratch)
	for low < high && !(h.scratch[low] >= -math.MaxFloat64) { // NaN sorts first
		low++
	}
	for low < high && h.scratch[high-1] > math.MaxFloat64 {
		high--
	}
	m := high - low
	h.sizeSquares += uint64(m * m)
	for i, v := range h.scratch {
		bin, finite := h.place(v)
		if !finite {
			continue
		}
		h.put(bin, inBin{values: 1, squares: uint64(2*(high-i) - 1), missing: uint64(h.clusterRows - m)})
	}
}

// place returns the bin of a finite value; it counts the others.
func (h *Histogram) place(v float64) (bin int, finite bool) {
	q := v / h.width
	if math.Abs(q) < linearBins {
		return int(math.Floor(q)), true
	}
	switch {
	case v > math.MaxFloat64:
		h.plusInfinity++
	case v < -math.MaxFloat64:
		h.minusInfinity++
	case math.IsNaN(v):
		h.undefined++
	default:
		return binOf(q), true
	}
	return 0, false
}

// put adds to the counters of a bin.
func (h *Histogram) put(bin int, n inBin) { h.pageOf(bin).put(bin&(pageBins-1), n) }

func (h *Histogram) pageOf(bin int) *page {
	number := bin >> pageShift // floor(bin/pageBins), negative bins too
	if at := number - h.firstPage; uint(at) < uint(len(h.pages)) && h.pages[at] != nil {
		return h.pages[at]
	}
	return h.newPage(number)
}

// newPage makes room for a page and returns it.
func (h *Histogram) newPage(number int) *page {
	switch end := h.firstPage + len(h.pages); {
	case len(h.pages) == 0:
		h.firstPage = number
		h.pages = make([]*page, 1)
	case number < h.firstPage:
		h.pages = slices.Concat(make([]*page, h.firstPage-number), h.pages)
		h.firstPage = number
	case number >= end:
		h.pages = append(h.pages, make([]*page, number-end+1)...)
	}
	p := new(page)
	h.pages[number-h.firstPage] = p
	return p
}

// Finite returns the number of finite values.
func (h *Histogram) Finite() int64 {
	n := uint64(0)
	for _, p := range h.pages {
		if p != nil {
			n += p.total.values
		}
	}
	return int64(n)
}

// Infinite returns the numbers of -Inf and +Inf among the values.
func (h *Histogram) Infinite() (minus, plus int64) {
	return int64(h.minusInfinity), int64(h.plusInfinity)
}

// Undefined returns the number of NaN among the values.
func (h *Histogram) Undefined() int64 { return int64(h.undefined) }

// Bin is one bin with its edges, in the unit of the values, and its count.
type Bin struct {
	Interval
	Count int64
}

// Middle returns the value that stands for those in the bin.
func (b Bin) Middle() float64 { return b.Low + (b.High-b.Low)/2 }

// Bins lists the bins that are not empty, in ascending order.
func (h *Histogram) Bins() iter.Seq[Bin] {
	return func(yield func(Bin) bool) {
		for p, slot := range h.slots() {
			if !yield(h.bin(p, slot)) {
				return
			}
		}
	}
}

// bin describes a bin of a page that is there.
func (h *Histogram) bin(page, slot int) Bin {
	number := (h.firstPage+page)*pageBins + slot
	return Bin{Interval{Low: h.edge(number), High: h.edge(number + 1)}, int64(h.pages[page].at(slot).values)}
}

// edge returns the lower edge of a bin, in the unit of the values.
func (h *Histogram) edge(bin int) float64 {
	return min(max(binEdge(bin)*h.width, -math.MaxFloat64), math.MaxFloat64)
}

// slots lists page and slot of the bins that are not empty, in ascending order.
func (h *Histogram) slots() iter.Seq2[int, int] {
	return func(yield func(page, slot int) bool) {
		for p, page := range h.pages {
			if page == nil {
				continue
			}
			for slot := range pageBins {
				if page.at(slot).values > 0 && !yield(p, slot) {
					return
				}
			}
		}
	}
}

// AtRank returns the bin of the rank-th smallest finite value, ranks from 1 to
// Finite. Other ranks panic.
func (h *Histogram) AtRank(rank int64) Bin {
	below := int64(0)
	for i, p := range h.pages {
		if p == nil {
			continue
		}
		if rank > below+int64(p.total.values) {
			below += int64(p.total.values)
			continue
		}
		for slot := range pageBins {
			below += int64(p.at(slot).values)
			if rank >= 1 && rank <= below {
				return h.bin(i, slot)
			}
		}
	}
	panic(fmt.Sprintf("sim: rank %d of %d values", rank, h.Finite()))
}

// MeanStdDev returns the mean and the standard deviation (divisor one less than
// the number) of the finite values, every value taken at the middle of its bin:
// the mean errs by less than half a width. NaN without values, and a NaN
// standard deviation for one value.
func (h *Histogram) MeanStdDev() (mean, deviation float64) {
	n := float64(h.Finite())
	if n == 0 {
		return math.NaN(), math.NaN()
	}
	sum := 0.0
	for b := range h.Bins() {
		sum += b.Middle() / n * float64(b.Count)
	}
	squares := 0.0
	for b := range h.Bins() {
		d := b.Middle() - sum
		squares += d * d * float64(b.Count)
	}
	return sum, math.Sqrt(squares / (n - 1))
}

// above returns the sums over clusters of k, k² and k m, k the number of a
// cluster's finite values above the threshold, the edge of a bin, and m that of all
// its finite values.
func (h *Histogram) above(threshold float64) (count, square, cross uint64) {
	var sum inBin
	for i, p := range h.pages {
		first := (h.firstPage + i) * pageBins
		if p == nil || h.edge(first+pageBins) <= threshold {
			continue
		}
		slot := 0
		for h.edge(first+slot) < threshold {
			slot++
		}
		sum.add(p.from(slot))
	}
	return sum.values, sum.squares, uint64(h.clusterRows)*sum.values - sum.missing
}
