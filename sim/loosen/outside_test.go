package loosen

import (
	"math"
	"testing"

	"clampodds/reports/validation"
)

// Closed forms of a linear design with normal inputs: y = 2a + b - c, limit at
// 2.98 standard deviations.
func TestOutsideTolerances(t *testing.T) {
	s := demo.search(t, 100_000, 1)
	var cases []validation.Case
	add := func(name, source string, want float64, e End) {
		cases = append(cases, validation.Case{
			Name: name, Source: source, Standing: validation.Computed, Expected: want, Obtained: e.Estimate.At,
			Absolute: math.Abs(e.Possible.At - e.Proven.At), Reason: "width of the 95 % interval, 4 standard errors: false alarm 6e-5",
		})
	}
	const linear = "y = 2a + b - c, a ~ N(10, 1), b ~ N(20, 1.5), c ~ N(5, 0.3), P(y > 42.5) = 1 %"
	for i, input := range inputNames[:2] {
		spread, err := Widen(demo.plan(t), input)
		add("spread factor of "+input, linear+": f² = ((L-μ)²/z² - rest)/(own variance)", demo.factor(i), window(t, s, spread, err).Upper)
		mean, err := ShiftMean(demo.plan(t), input)
		add("shift of the mean of "+input, linear+": δ = (L - μ - zσ)/coefficient", demo.shift(i), window(t, s, mean, err).Upper)
	}
	validation.Check(t, "Tolerances", cases)
}
