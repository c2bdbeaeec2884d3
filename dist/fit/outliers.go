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

// Outliers tests for up to most outliers (1 to n-3, 10 as a rule) among at least
// 4 finite readings at a significance in (0, 1), 0.05 as a rule. The critical
// values are accurate from 15 readings on. Values are not modified. Other input
// gets an error.
func Outliers(values []float64, most int, significance float64) (OutlierTest, error) {
	if err := checkLevel(significance); err != nil {
		return OutlierTest{}, err
	}
	if !(most >= 1 && most <= len(values)-3) {
		return OutlierTest{}, refuse("number of outliers", float64(most), fmt.Sprintf("from 1 to the number of readings less 3, %d", len(values)-3))
	}
	if err := (Data{Values: values}).check(); err != nil {
		return OutlierTest{}, err
	}
	t := OutlierTest{Significance: significance}
	var removed []int // rising
	for len(t.Steps) < most {
		at, distance := farthest(values, removed)
		if at < 0 {
			break // those left are all equal
		}
		step := OutlierStep{at, values[at], distance, rosner(len(values), len(t.Steps)+1, significance)}
		t.Steps = append(t.Steps, step)
		if step.Statistic > step.Critical {
			t.Flagged = len(t.Steps)
		}
		place, _ := slices.BinarySearch(removed, at)
		removed = slices.Insert(removed, place, at)
	}
	return t, nil
}

// farthest returns the reading farthest from the mean of those not removed, and
// its distance in standard deviations; -1 where they are all equal. It sorts and
// copies nothing.
func farthest(values []float64, removed []int) (at int, distance float64) {
	left := func(use func(i int)) {
		from := 0
		for _, to := range append(slices.Clone(removed), len(values)) {
			for i := from; i < to; i++ {
				use(i)
			}
			from = to + 1
		}
	}
	n, origin, sum := float64(len(values)-len(removed)), values[0], 0.0
	left(func(i int) { sum += values[i] - origin })
	mean := origin + sum/n
	at, rest, squares := -1, 0.0, 0.0
	left(func(i int) {
		d := values[i] - mean
		rest += d
		squares += d * d
		if math.Abs(d) > distance {
			at, distance = i, math.Abs(d)
		}
	})
	variance := (squares - rest*rest/n) / (n - 1)
	if !(variance > 0) {
		return -1, 0
	}
	return at, distance / math.Sqrt(variance)
}

// rosner is the critical value of step i of n readings:
// (n-i) t / sqrt((n-i-1+t^2)(n-i+1)), t exceeded with probability
// significance/(2(n-i+1)) at n-i-1 degrees of freedom.
func rosner(n, i int, significance float64) float64 {
	left := float64(n - i)
	t := studentQuantile(significance/(2*(left+1)), left-1)
	return left * t / math.Sqrt((left-1+t*t)*(left+1))
}
