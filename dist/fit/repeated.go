package fit

import "math"

// Repeat is a block of readings that stands twice in a column, in the same order.
type Repeat struct {
	First, Again int     // indexes where it stands, from 0
	Length       int     // in readings
	Chance       float64 // that readings in random order show so much of any block
}

// RepeatRate is the rate at which columns in which nothing was repeated are told so at most, half of it for columns that
// are one block over and over, half for any two blocks.
const RepeatRate = 0.005

// mostRepeated bounds the readings of which all pairs of blocks are compared, which takes a time as their square.
const mostRepeated = 20_000

// Repeated looks for readings that were pasted twice, or taken twice of the same parts: they count twice. The order of readings that
// are exchangeable is random whatever they are, rounded, skewed or few, so that the chance of a block in the same order follows from how often
// each value stands in the column, and the rate holds for all of them. Values that do not differ from the one before, as of a gauge that
// sticks or a slow drift in coarse steps, count for nothing. Nil where no block stands twice so that chance would not do it.
func (s *Sample) Repeated() *Repeat { return repeated(s.data.Values) }

func repeated(values []float64) *Repeat {
	counts := map[float64]int{}
	for _, x := range values {
		counts[x]++
	}
	found := wholeColumn(values, counts)
	if len(values) <= mostRepeated && found == nil {
		found = twoBlocks(values, counts)
	}
	return found
}

// wholeColumn asks whether the column is one block of a length m, k times. Of all orders of the readings, n! over the factorials of how often each
// value stands there, the orders of one block, m! over those of a k-th as often, are so. The lengths that are as unlikely or more share the
// rate: which they are the values say, whatever their order.
func wholeColumn(values []float64, counts map[float64]int) *Repeat {
	n := len(values)
	for m := 2; m <= n/2; m++ {
		if n%m != 0 || !sameAfter(values, m) {
			continue
		}
		own, p := orders(m, n, counts), 0.0
		for other := 2; other <= n/2; other++ {
			if one := orders(other, n, counts); one <= own {
				p += one
			}
		}
		if p <= RepeatRate/2 {
			return &Repeat{Again: m, Length: n - m, Chance: p}
		}
		return nil // a longer block is made of this one
	}
	return nil
}

// orders is the share of all orders of n readings that are one block of length m again and again.
func orders(m, n int, counts map[float64]int) float64 {
	if n%m != 0 {
		return 0
	}
	k := n / m
	share := logFactorial(m) - logFactorial(n)
	for _, c := range counts {
		if c%k != 0 {
			return 0
		}
		share += logFactorial(c) - logFactorial(c/k)
	}
	return math.Exp(share)
}

func sameAfter(values []float64, lag int) bool {
	for i := lag; i < len(values); i++ {
		if values[i] != values[i-lag] {
			return false
		}
	}
	return true
}

// twoBlocks finds the pair of blocks that chance would do least. Each pair of places has its part of the rate: where a block starts at one of
// them, its values say how far it has to go on at the other one.
func twoBlocks(values []float64, counts map[float64]int) (found *Repeat) {
	n := len(values)
	pairs := float64(n) * float64(n-1) / 2
	left := map[float64]int{}
	for lag := 1; lag < n; lag++ {
		for i := 0; i+lag < n; i++ {
			length := 0
			for i+lag+length < n && values[i+length] == values[i+lag+length] {
				length++
			}
			if block := min(length, lag); block > 1 { // two blocks have no reading in common
				if p := pairs * againBy(values[i:i+block], n, counts, left); p <= RepeatRate/2 && (found == nil || p < found.Chance) {
					found = &Repeat{First: i, Again: i + lag, Length: block, Chance: p}
				}
			}
			i += length
		}
	}
	return found
}

// againBy is the chance that the readings outside of a block, in random order, begin with what it holds.
func againBy(block []float64, n int, counts, left map[float64]int) float64 {
	clear(left)
	for _, x := range block {
		if _, met := left[x]; !met {
			left[x] = counts[x]
		}
		left[x]--
	}
	p, rest := 1.0, n-len(block)
	for k, x := range block {
		if k == 0 || x != block[k-1] {
			p *= float64(left[x]) / float64(rest)
		}
		left[x]--
		rest--
	}
	return p
}

func logFactorial(n int) float64 {
	v, _ := math.Lgamma(float64(n) + 1)
	return v
}
