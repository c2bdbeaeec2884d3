package sim

import "math"

// pageBins is the number of bins that are allocated together.
const pageBins = 1024

// page counts the values of consecutive bins.
//
// Where values come in clusters, it carries for every threshold t at once the sum
// over clusters of k(t)², k(t) the number of the cluster's finite values above t:
// with these in descending order the j-th adds 2j-1, and the sum over the bins above
// t is exact, since 1 + 3 + ... + (2k-1) = k². What clusters lack in finite values
// is counted with every value they do have, so that the sum of k(t) m, m of n values
// finite, is n times the count less what is missing. A page without values has no
// arrays.
type page struct{ values, squares, missing counters }

// counters are whole numbers, one for each bin. The last 16 bits, all there is of
// most, lie close together, and those of values and squares beside one another: to add
// is to wait for memory.
type counters struct {
	total uint64
	low   []uint16          // that of a bin at bin << shift
	shift uint8             // 1 where two share the storage
	high  *[pageBins]uint64 // times 2^16
}

// make sees to it that there is something to add to.
func (c *counters) make() {
	if c.low == nil {
		c.low = make([]uint16, pageBins)
	}
}

// make sees to it that values, and squares where they are counted, can be added to.
func (p *page) make(squares bool) {
	if !squares {
		p.values.make()
	} else if p.values.low == nil {
		both := make([]uint16, 2*pageBins)
		p.values.low, p.squares.low = both, both[1:]
		p.values.shift, p.squares.shift = 1, 1
	}
}

// add adds n; make comes first.
func (c *counters) add(slot int, n uint64) {
	c.total += n
	low := &c.low[slot<<(c.shift&1)]
	sum := uint64(*low) + n
	*low = uint16(sum)
	if sum > math.MaxUint16 {
		c.carry(slot, sum>>16)
	}
}

func (c *counters) carry(slot int, n uint64) {
	if c.high == nil {
		c.high = new([pageBins]uint64)
	}
	c.high[slot] += n
}

// at returns one number.
func (c *counters) at(slot int) uint64 {
	n := uint64(c.low[slot<<(c.shift&1)])
	if c.high != nil {
		n += c.high[slot] << 16
	}
	return n
}

// from returns the sum from a bin to the end of the page.
func (c *counters) from(slot int) uint64 {
	if slot == 0 || c.total == 0 {
		return c.total
	}
	sum := uint64(0)
	for ; slot < pageBins; slot++ {
		sum += c.at(slot)
	}
	return sum
}
