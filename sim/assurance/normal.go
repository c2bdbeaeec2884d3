package assurance

import (
	"fmt"
	"math"
	"sort"

	"clampodds/dist"
	"clampodds/sim/interval"
)

// LimitTest is a test that is to show parts of a normal characteristic within a limit.
type LimitTest struct {
	// Distance of the true mean from the limit, on the good side, in true standard deviations.
	Distance float64
	// Target is the largest probability of parts beyond the limit, Confidence that of the statement.
	Target, Confidence float64
}

// Chance returns the chance that n readings, at least 3, show the target to be met: the upper bound
// of the probability (noncentral t) and the probability that the next part is beyond (Student's t)
// are then at or below it. It is exact.
func (p LimitTest) Chance(n int) float64 {
	root, freedom := math.Sqrt(float64(n)), float64(n-1)
	bound := interval.NoncentralTQuantile(p.Confidence, -dist.NormalQuantile(p.Target)*root, freedom) / root
	next := interval.StudentTUpper(p.Target, freedom) * math.Sqrt(1+1/float64(n))
	// (mean - limit)/s is noncentral t over the root of n; it must reach both.
	return interval.NoncentralT(-max(bound, next)*root, -p.Distance*root, freedom)
}

// Readings returns the smallest number that shows it with the chance wanted. The error says that none does
// or what is out of range.
func (p LimitTest) Readings(wanted float64) (int, error) {
	switch {
	case !(p.Target > 0 && p.Target < 0.5):
		return 0, fmt.Errorf("target %g: must be between 0 and 0.5", p.Target)
	case !(p.Confidence > 0.5 && p.Confidence < 1):
		return 0, fmt.Errorf("confidence %g: must be above 1/2 and below 1", p.Confidence)
	case !(wanted > 0 && wanted < 1):
		return 0, fmt.Errorf("chance %g: must be between 0 and 1", wanted)
	case !(p.Distance > -dist.NormalQuantile(p.Target)):
		return 0, fmt.Errorf("such a process has more than %g beyond the limit: no number of readings shows that it has less", p.Target)
	}
	low, high := 2, 3
	for p.Chance(high) < wanted {
		if low, high = high, 2*high; high > MostReadings {
			return 0, fmt.Errorf("more than %d readings: the process has nearly as much beyond the limit as the target", MostReadings)
		}
	}
	return low + 1 + sort.Search(high-low-1, func(more int) bool { return p.Chance(low+1+more) >= wanted }), nil
}
