package fit

import (
	"fmt"
	"math"
	"slices"
)

// OutlierTest is the generalized extreme Studentized deviate test (Rosner,
// Technometrics 25 (1983) 165; NIST/SEMATECH e-Handbook 1.3.5.17.3). With one
// step it is Grubbs' two-sided test. It presupposes that the other readings are
// normal. A flagged reading is a question to whoever took it; nothing here drops
// it.
type OutlierTest struct {
	Significance float64
	Steps        []OutlierStep
	// Flagged is the number of outliers: those of the first Flagged steps.
	Flagged int
}

// OutlierStep looks at the reading farthest from the mean of those left.
type OutlierStep struct {
	Index     int // of the reading, from 0
	Reading   float64
	Statistic float64 // |reading - mean|/sd of those left
	Critical  float64
}

// Outliers tests for up to most outliers (1 to n-3, 10 as a rule) among the
// readings as they stand, at a significance in (0, 1), 0.05 as a rule. The critical
// values are accurate from 15 readings on. Other input gets an error.
func (s *Sample) Outliers(most int, significance float64) (OutlierTest, error) {
	if err := checkLevel(significance); err != nil {
		return OutlierTest{}, err
	}
	if !(most >= 1 && most <= s.N()-3) {
		return OutlierTest{}, refuse("number of outliers", float64(most), fmt.Sprintf("from 1 to the number of readings less 3, %d", s.N()-3))
	}
	t := OutlierTest{Significance: significance}
	seen := map[float64]int{} // where the search for the next equal reading starts
	left := s.sorted
	for len(t.Steps) < most && left[0] < left[len(left)-1] { // not all equal
		step := OutlierStep{Critical: rosner(s.N(), len(t.Steps)+1, significance)}
		step.Reading, step.Statistic, left = farthest(left)
		step.Index = seen[step.Reading] + slices.Index(s.data.Values[seen[step.Reading]:], step.Reading)
		seen[step.Reading] = step.Index + 1
		t.Steps = append(t.Steps, step)
		if step.Statistic > step.Critical {
			t.Flagged = len(t.Steps)
		}
	}
	return t, nil
}

// farthest takes the value farthest from the mean off rising values, not all equal,
// and returns its distance in standard deviations.
func farthest(sorted []float64) (x, distance float64, left []float64) {
	last := len(sorted) - 1
	mean, sd := meanStdDev(sorted)
	if above := sorted[last] - mean; above > mean-sorted[0] {
		return sorted[last], above / sd, sorted[:last]
	}
	return sorted[0], (mean - sorted[0]) / sd, sorted[1:]
}

// rosner is the critical value of step i of n readings:
// (n-i) t / sqrt((n-i-1+t^2)(n-i+1)), t exceeded with probability
// significance/(2(n-i+1)) at n-i-1 degrees of freedom.
func rosner(n, i int, significance float64) float64 {
	left := float64(n - i)
	t := studentQuantile(significance/(2*(left+1)), left-1)
	return left * t / math.Sqrt((left-1+t*t)*(left+1))
}
