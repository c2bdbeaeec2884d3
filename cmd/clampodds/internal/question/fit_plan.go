package question

import (
	"fmt"
	"math"

	"clampodds/dist"
	"clampodds/dist/fit"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/assurance"
)

// judge holds what the readings say of parts beyond a limit against the target, by the rule of all commands, and says how
// many more readings would decide.
func (f *Fit) judge(e fit.Exceedance) (b reports.Beyond, verdict sim.Verdict) {
	b.Exceedance = e
	if f.Target == 0 {
		return b, sim.NoTarget
	}
	verdict = sim.Undecided
	switch {
	case e.Predictive <= f.Target && e.Upper <= f.Target:
		verdict = sim.Met
	case e.Predictive > f.Target:
		verdict = sim.NotMet
	}
	b.Verdict, b.Target = verdict.String(), &f.Target
	if verdict == sim.Undecided {
		if q, err := assurance.New(e.PlugIn, e.Upper, f.Target, e.Level); err == nil {
			b.More = q.Readings(1, e.N, f.Chance)
		}
	}
	if verdict == sim.NotMet && e.PlugIn > 0 && e.PlugIn < f.Target {
		plan := assurance.LimitTest{Distance: -dist.NormalQuantile(e.PlugIn), Target: f.Target, Confidence: e.Level}
		if n, err := plan.Readings(f.Chance); err == nil {
			b.InAll = n
		}
	}
	return b, verdict
}

// checkTarget refuses a target without a limit, and chances that are none.
func (f *Fit) checkTarget() error {
	switch {
	case !(f.Target >= 0 && f.Target < 0.5):
		return refused("target", "%g: must be above 0 and below 0.5", f.Target)
	case f.Target > 0 && bounded(f.Limits) == (fit.Range{}):
		return refused("target", "is the largest probability of parts beyond a limit: give --low or --high")
	case !(f.Chance > 0 && f.Chance < 1):
		return refused("chance", "%g: must be between 0 and 1", f.Chance)
	}
	return nil
}

// Plan says how many readings a test that is not made yet takes, where a mean and a standard deviation are to be expected.
func (f Fit) Plan(unit string, expected []float64) (reports.ReadingsPlan, error) {
	r := reports.ReadingsPlan{Schema: reports.ReadingsPlanSchema, Version: Version, Unit: unit, Target: f.Target, Confidence: f.Level, Wanted: f.Chance}
	if err := f.checkTarget(); err != nil {
		return r, err
	}
	if len(expected) != 2 || !(expected[1] > 0) {
		return r, refused("plan-readings:", "give the mean and the standard deviation to be expected, as in 0.70,0.02")
	}
	if f.Target == 0 {
		return r, refused("plan-readings", "needs --target, the largest probability of parts beyond --low or --high")
	}
	r.Mean, r.SD = expected[0], expected[1]
	for _, side := range []struct {
		name     string
		limit    float64
		distance float64
	}{{"below", f.Limits.Low, (r.Mean - f.Limits.Low) / r.SD}, {"above", f.Limits.High, (f.Limits.High - r.Mean) / r.SD}} {
		if math.IsInf(side.limit, 0) {
			continue
		}
		plan := assurance.LimitTest{Distance: side.distance, Target: f.Target, Confidence: f.Level}
		n, err := plan.Readings(f.Chance)
		if err != nil {
			return r, fmt.Errorf("%s %g: %w", side.name, side.limit, err)
		}
		one := reports.PlannedLimit{Side: side.name, Limit: side.limit, Beyond: dist.NormalSurvival(side.distance), Readings: n}
		for _, tried := range []int{n / 4, n / 2, n, 2 * n} {
			if tried >= 3 {
				one.Chances = append(one.Chances, reports.PlannedChance{Readings: tried, Chance: plan.Chance(tried)})
			}
		}
		r.Limits = append(r.Limits, one)
	}
	return r, nil
}
