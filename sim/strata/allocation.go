package strata

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// fewestRows is the least number of rows of a stratum.
const fewestRows = 64

// allocation says how many rows each stratum gets: enough that no event weighs
// more than heaviest, and beyond that in proportion to W sqrt(p), which gives the
// least variance Σ W² p/n for a number of rows (Neyman 1934).
func allocate(all []stratum, share []float64, heaviest, density float64) []int64 {
	rows := make([]int64, len(all))
	for h, s := range all {
		n := max(s.probability/heaviest, s.probability*math.Sqrt(share[h])*density)
		rows[h] = max(fewestRows, int64(math.Ceil(n)))
	}
	return rows
}

// expected is the probability by the share of exceeding rows of each stratum.
func expected(all []stratum, share []float64) float64 {
	sum := 0.0
	for h, s := range all {
		sum += s.probability * share[h]
	}
	return sum
}

func total(rows []int64) int64 {
	sum := int64(0)
	for _, n := range rows {
		sum += n
	}
	return sum
}

// width is the half-width of the interval over the probability to expect, to
// about a per cent: gamma quantiles by Wilson & Hilferty, Proc. Nat. Acad. Sci. 17
// (1931) 684.
func width(all []stratum, share []float64, rows []int64, level float64) float64 {
	var sum, squares, largest float64
	for h, s := range all {
		w := s.probability / float64(rows[h])
		sum, squares, largest = sum+s.probability*share[h], squares+w*s.probability*share[h], max(largest, w)
	}
	quantile := func(sum, squares, z float64) float64 {
		ninth := squares / (9 * sum * sum) // 1/(9 shape)
		root := max(0, 1-ninth+z*math.Sqrt(ninth))
		return sum * root * root * root
	}
	z := mathext.NormalQuantile((1 + level) / 2)
	return (quantile(sum+largest, squares+largest*largest, z) - quantile(sum, squares, -z)) / 2 / sum
}

// cheapest returns the rows of least number for a relative half-width, given the
// expected share of exceeding rows of each stratum, not all zero. The more rows
// bound the weight of the unseen, the fewer are needed for the rest: it tries
// heaviest weights from a fiftieth to half the half-width.
func cheapest(all []stratum, share []float64, relative, level float64) []int64 {
	probability := expected(all, share)
	var best []int64
	for part := 0.02; part < 0.6; part *= 1.4 {
		heaviest := part * relative * probability
		density := leastTrue(1/(relative*relative), 2e-2, func(density float64) bool {
			return width(all, share, allocate(all, share, heaviest, density), level) <= relative
		})
		rows := allocate(all, share, heaviest, density)
		if density < most && (best == nil || total(rows) < total(best)) {
			best = rows
		}
	}
	return best
}

// filled is the first allocation, as its density rises, of more than so many rows.
func filled(about int64, rows func(density float64) []int64) []int64 {
	return rows(leastTrue(float64(about), 1e-2, func(density float64) bool { return total(rows(density)) > about }))
}

// most ends the search of leastTrue.
const most = 1e15

// leastTrue returns the least x > 0, to a relative tolerance, for which a
// monotone condition holds; most or more when it holds for none below.
func leastTrue(start, tolerance float64, holds func(x float64) bool) float64 {
	low, high := 0.0, start
	for !holds(high) {
		if low, high = high, 4*high; high > most {
			return high
		}
	}
	for high-low > tolerance*high {
		if middle := (low + high) / 2; holds(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	return high
}
