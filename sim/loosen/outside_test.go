package loosen

import (
	"math"
	"testing"

	"clampodds/reports/validation"
)

// Closed forms of a linear design with normal inputs: y = 2a + b - c, limit at
// 2.98 standard deviations.
func TestOutsideTolerances(t *testing.T) {
	s := demo.search(t, 1)
	var cases []validation.Case
	add := func(name, source string, want, stricter float64, m Move, err error) {
		cases = append(cases, validation.Case{
			Name: name, Source: source, Standing: validation.Computed, Expected: want, Obtained: window(t, s, m, err).Upper.Met,
			Absolute: math.Abs(want-stricter) + m.Finest, Reason: "the end is shown to be met: a probability 1.3 times lower, with its interval, and the accuracy of the search",
		})
	}
	const linear = "y = 2a + b - c, a ~ N(10, 1), b ~ N(20, 1.5), c ~ N(5, 0.3), P(y > 42.5) = 1 %"
	for i, input := range inputNames[:2] {
		spread, err := Widen(demo.inputs(t), input)
		add("spread factor of "+input, linear+": f² = ((L-μ)²/z² - rest)/(own variance)", demo.factor(i), demo.stricter().factor(i), spread, err)
		mean, err := ShiftMean(demo.inputs(t), input)
		add("shift of the mean of "+input, linear+": δ = (L - μ - zσ)/coefficient", demo.shift(i), demo.stricter().shift(i), mean, err)
	}
	validation.Check(t, "Tolerances", cases)
}
