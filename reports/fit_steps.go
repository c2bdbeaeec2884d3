package reports

import (
	"fmt"
	"math"
	"strings"

	"clampodds/dist/fit"
)

// Steps says that the gauge's step is coarse, and what that does.
type Steps struct {
	fit.CoarseSteps
	Readings int     `json:"-"`
	OfSD     float64 `json:"of_standard_deviation"` // of the readings as they stand
	// Factor is the upper end of the interval of the standard deviation of normal readings over its lower end, Exact that of as
	// many exact readings; 0 where not the step alone makes the difference.
	Factor float64 `json:"interval_factor,omitempty"`
	Exact  float64 `json:"interval_factor_exact,omitempty"`
}

// text comes before the entry; empty where the step is not coarse.
func (s *Steps) text(unit, level string) string {
	if s == nil {
		return ""
	}
	in := func(x float64) string { return strings.TrimSpace(threeDigits(x) + " " + unit) }
	text := fmt.Sprintf("COARSE STEPS: the %d readings stand on %d values, in steps of %s, %s of their standard deviations. ", s.Readings, s.Values, in(s.Step), Number(s.OfSD, 1))
	if s.Share < 0.5 {
		text += fmt.Sprintf("The step makes about %s %% of their variance; the entry is without it, each reading taken as anything within half a step.", Number(100*s.Share, 0))
	} else {
		text += "The step can make most of their spread; in the entry each reading is anything within half a step."
	}
	if s.Factor > 0 {
		text += fmt.Sprintf(" So their standard deviation is known within a factor of %s (%s %%), of as many exact readings within %s.", threeDigits(s.Factor), level, threeDigits(s.Exact))
	}
	if s.Share < 0.5 {
		text += fmt.Sprintf(" Steps of %s or finer would hide next to nothing.", in(0.5*s.Step/s.OfSD*math.Sqrt(1-s.Share)))
	}
	return text
}
