// Package assurance says how much more must be known for an open verdict to be clear: the chance that a
// test, or more rows of a computation, decides, before it is made.
//
// An exceedance probability whose lack of knowledge is kept apart has a distribution over what is not
// known. A test of one part of what is not known leaves a share of that part's variance,
// and moves its middle: by how much is not known before, but its
// distribution is. The verdict after the test follows the rule of package decide: met where the quantile at the confidence
// is at or below the target, not met where the mean is above it. Where it is known how the probability depends on each
// input, the tests are made on that (Surface); of readings of one characteristic it is normal on the scale of normal
// scores, given by its median and its upper quantile (Question).
//
// The chance that a test decides, averaged over what it may show, is called its assurance
// (O'Hagan, Stevens, Campbell, Pharmaceutical Statistics 4 (2005) 187, from memory). That
// it comes true is repeated in the tests.
package assurance

import (
	"fmt"
	"math"

	"clampodds/dist"
)

// Wanted is the usual chance that a planned test decides.
const Wanted = 0.9

// Question is an exceedance probability that lack of knowledge leaves undecided.
type Question struct {
	median, spread float64 // of its normal score over what is not known
	target         float64 // normal score
	score          float64 // of the confidence
}

// New takes the median of an exceedance probability over what is not known and its quantile at the confidence,
// and the target. All are in (0, 1), the confidence above 1/2, the quantile above the median.
func New(median, upper, target, confidence float64) (Question, error) {
	switch {
	case !(median > 0 && upper > median && upper < 1):
		return Question{}, fmt.Errorf("median %g and upper quantile %g of a probability: must rise between 0 and 1", median, upper)
	case !(target > 0 && target < 1):
		return Question{}, fmt.Errorf("target %g: must be between 0 and 1", target)
	case !(confidence > 0.5 && confidence < 1):
		return Question{}, fmt.Errorf("confidence %g: must be above 1/2 and below 1", confidence)
	}
	q := Question{median: dist.NormalQuantile(median), target: dist.NormalQuantile(target), score: dist.NormalQuantile(confidence)}
	q.spread = (dist.NormalQuantile(upper) - q.median) / q.score
	return q, nil
}

// Chance is how likely a test ends with each clear verdict.
type Chance struct{ Met, NotMet float64 }

// Decided is the chance of either.
func (c Chance) Decided() float64 { return c.Met + c.NotMet }

// Chance returns that of a test that leaves the part left, in [0, 1], of the variance.
func (q Question) Chance(left float64) Chance {
	middle := q.spread * math.Sqrt(1-left)      // standard deviation of the median after the test
	rest := q.spread * math.Sqrt(left)          // of the score after it
	met := q.target - q.score*rest              // the median is at or below
	missed := q.target * math.Sqrt(1+rest*rest) // the mean Φ(median/sqrt(1+rest²)) is above the target
	if missed = max(missed, met); middle == 0 { // both at once cannot be
		return Chance{Met: step(q.median <= met), NotMet: step(q.median > missed)}
	}
	return Chance{Met: dist.NormalCDF((met - q.median) / middle), NotMet: dist.NormalSurvival((missed - q.median) / middle)}
}

func step(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// mostLeft is, by so many halvings, the largest part of the variance that a test may leave to decide with the chance wanted; ok is
// false where not even full knowledge does.
func mostLeft(decided func(left float64) float64, wanted float64, halvings int) (left float64, ok bool) {
	if !(decided(0) >= wanted) {
		return 0, false
	}
	low, high := 0., 1.
	for range halvings {
		if middle := (low + high) / 2; decided(middle) >= wanted {
			low = middle
		} else {
			high = middle
		}
	}
	return low, true
}

// MostReadings is where planning ends.
const MostReadings = 1_000_000

// MoreReadings is how many more readings of what rests on have so far leave a part of its variance, have/(have+n): 0 where
// it is more than MostReadings.
func MoreReadings(have int, left float64) int {
	needed := math.Ceil(float64(have) * (1 - left) / left)
	if !(needed <= MostReadings) {
		return 0
	}
	return int(needed)
}

// Readings returns how many more readings of a characteristic with have so far decide with the chance wanted, 0 where none do.
func (q Question) Readings(have int, wanted float64) (more int) {
	left, ok := mostLeft(func(left float64) float64 { return q.Chance(left).Decided() }, wanted, 50)
	if !ok {
		return 0
	}
	return MoreReadings(have, left)
}

// Clear returns the chance that more rows take an estimate off a bound. It lies off from the bound, on a scale
// where its standard error is about normal, and its interval reaches z times the root of the sum of squares of
// the standard error and of fixed, which no rows take off. The rows leave the part left, in [0, 1], of the
// variance.
func Clear(off, standardError, fixed, z, left float64) float64 {
	moved, half := standardError*math.Sqrt(1-left), z*math.Hypot(standardError*math.Sqrt(left), fixed)
	if moved == 0 {
		return step(math.Abs(off) > half)
	}
	return dist.NormalSurvival((half-off)/moved) + dist.NormalCDF((-half-off)/moved)
}
