package fit

import (
	"cmp"
	"slices"
)

// OutlierTest asks whether some readings lie farther out than the fitted family
// allows. The reading farthest out is taken off and the rest looked at again, up to
// the most outliers asked for; those up to the last step beyond its critical value
// are flagged, so that two do not hide each other (Rosner, Technometrics 25 (1983)
// 165). One step of normal readings is Grubbs' test. The critical values of all
// steps have one level, set so that among readings of the family without outliers
// some are flagged with probability significance (of Flags) at most. A flagged reading is a
// question to whoever took it; nothing here drops it.
type OutlierTest struct {
	Most   int    // steps allowed
	Method string // how the critical values were found
	// Reason says why there is no test; Steps are then empty.
	Reason string
	Steps  []OutlierStep
	// Flagged is the number of outliers: those of the first Flagged steps.
	Flagged int
}

// OutlierStep looks at the reading farthest out of those left.
type OutlierStep struct {
	Index   int // of the reading, from 0
	Reading float64
	// Statistic is the distance from the mean of those left in their standard
	// deviations, of logarithms or normal scores where the family is not normal;
	// for the half-normal and the Rayleigh family the share in the sum of squares.
	Statistic float64
	Critical  float64
}

// mostOutliers is the cap: a fifth of the readings, 1 to 10. Beyond, the rest no longer
// says what is usual.
func mostOutliers(n int) int { return min(10, max(1, n/5)) }

// steps takes the readings off, the farthest first, and flags those up to the last
// step whose level is below the threshold. values are those on the scale, in the order of
// the readings.
func (t *OutlierTest) steps(y yardstick, readings []float64, threshold float64) {
	order := make([]int, len(readings))
	scaled := make([]float64, len(readings))
	for i, x := range readings {
		order[i], scaled[i] = i, y.scale(x)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(scaled[a], scaled[b]) })
	left := make([]float64, len(order))
	for i, at := range order {
		left[i] = scaled[at]
	}
	for len(t.Steps) < t.Most && left[0] < left[len(left)-1] {
		far := y.farthest(left)
		at := 0
		if far.last {
			at = len(left) - 1
		}
		t.Steps = append(t.Steps, OutlierStep{order[at], readings[order[at]], far.statistic, y.critical(len(left), threshold)})
		if far.level < threshold {
			t.Flagged = len(t.Steps)
		}
		left, order = slices.Delete(left, at, at+1), slices.Delete(order, at, at+1)
	}
}

// smallestLevels are the level of the reading farthest out, and the smallest level of
// any step.
func (y yardstick) smallestLevels(sorted []float64, most int) (first, smallest float64) {
	first, smallest = 1, 1
	for i := 0; i < most && sorted[0] < sorted[len(sorted)-1]; i++ {
		far := y.farthest(sorted)
		if i == 0 {
			first = far.level
		}
		smallest = min(smallest, far.level)
		if far.last {
			sorted = sorted[:len(sorted)-1]
		} else {
			sorted = sorted[1:]
		}
	}
	return first, smallest
}
