package drivers

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"clampodds/sim/batch"
)

const (
	// upperShare of the rows of a section, the highest to be expected, are evaluated after a change.
	upperShare = 0.25
	// lowestUpper is the least percentile that they are enough for.
	lowestUpper = 0.95
	// farBelow is how far all others must stay below the percentile, over the error of what was expected.
	farBelow = 6
)

// upper sets after to the output after a change of an input, but evaluates no more rows than an upper
// percentile rests on: before is the output without the change, at x, and moved are the values after it. A straight line in the
// values of the input says what to expect of a row, and others keep that. It returns false where
// that cannot be, or where the line's error on the rows evaluated does not keep the others clear of the percentile.
func (e *evaluator) upper(in Input, x, moved [][]float64, before, after []float64, p float64) (rows int, ok bool) {
	if p < lowestUpper || in.Set > 0 || !allFinite(before) {
		return 0, false
	}
	expect(in, x, moved, before, after)
	per := len(before) / sections
	most := int(math.Ceil(upperShare * float64(per)))
	var chosen []int
	var others [sections]float64 // the highest that is expected of them
	for s := range others {
		order := descending(after, s*per, (s+1)*per)
		chosen, others[s] = append(chosen, order[:most]...), after[order[most]]
	}
	if e.part == nil {
		e.part = batch.Columns(len(x), len(before))
	}
	exact := make([]float64, len(chosen))
	e.output(batch.Gather(e.part, moved, chosen), exact)
	if !allFinite(exact) {
		return len(chosen), false
	}
	squares := 0.0
	for k, r := range chosen {
		squares += (exact[k] - after[r]) * (exact[k] - after[r])
		after[r] = exact[k]
	}
	margin := farBelow * math.Sqrt(squares/float64(len(chosen)))
	for s, highest := range others {
		below, _ := around(after[s*per:(s+1)*per], p)
		if !(highest+margin < below) {
			return len(chosen), false
		}
	}
	return len(chosen), true
}

// expect sets after to before and what a straight line in the values of each variable of the input adds.
func expect(in Input, x, moved [][]float64, before, after []float64) {
	copy(after, before)
	difference := make([]float64, len(before))
	for _, i := range in.Columns {
		floats.SubTo(difference, moved[i], x[i])
		if _, slope := stat.LinearRegression(x[i], before, nil, false); finite(slope) {
			floats.AddScaled(after, slope, difference)
		}
	}
}

// descending are the rows from low to high, the highest value first.
func descending(y []float64, low, high int) (order []int) {
	for r := low; r < high; r++ {
		order = append(order, r)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(y[b], y[a]) })
	return order
}

func allFinite(y []float64) bool {
	return !slices.ContainsFunc(y, func(v float64) bool { return !finite(v) })
}
