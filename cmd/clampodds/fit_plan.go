package main

import (
	"errors"
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
func (f *fitting) judge(b *reports.Beyond, e fit.Exceedance) {
	if f.target == 0 {
		return
	}
	verdict := sim.Undecided
	switch {
	case e.Predictive <= f.target && e.Upper <= f.target:
		verdict = sim.Met
	case e.Predictive > f.target:
		verdict = sim.NotMet
	}
	target := f.target
	b.Verdict, b.Target = verdict.String(), &target
	f.verdicts = append(f.verdicts, verdict)
	if verdict == sim.Undecided {
		if q, err := assurance.New(e.PlugIn, e.Upper, f.target, e.Level); err == nil {
			b.More, _ = q.Readings(1, e.N, f.chance)
		}
	}
	if verdict == sim.NotMet && e.PlugIn > 0 && e.PlugIn < f.target {
		plan := assurance.Plan{Distance: -dist.NormalQuantile(e.PlugIn), Target: f.target, Confidence: e.Level}
		if n, err := plan.Readings(f.chance); err == nil {
			b.InAll = n
		}
	}
}

// checkTarget refuses a target without a limit, and chances that are none.
func (f *fitting) checkTarget() error {
	switch {
	case !(f.target >= 0 && f.target < 0.5):
		return fmt.Errorf("--target %g: must be above 0 and below 0.5", f.target)
	case f.target > 0 && rangeOf(f.low, f.high) == (fit.Range{}):
		return errors.New("--target is the largest probability of parts beyond a limit: give --low or --high")
	case !(f.chance > 0 && f.chance < 1):
		return fmt.Errorf("--chance %g: must be between 0 and 1", f.chance)
	}
	return nil
}

// plan says how many readings a test that is not made yet takes.
func (f *fitting) plan() (reports.ReadingsPlan, error) {
	r := reports.ReadingsPlan{Schema: reports.ReadingsPlanSchema, Version: version, Unit: f.options.Unit, Target: f.target, Confidence: f.level, Wanted: f.chance}
	if err := f.checkTarget(); err != nil {
		return r, err
	}
	if len(f.planned) != 2 || !(f.planned[1] > 0) {
		return r, errors.New("--plan-readings: give the mean and the standard deviation to be expected, as in 0.70,0.02")
	}
	if f.target == 0 {
		return r, errors.New("--plan-readings needs --target, the largest probability of parts beyond --low or --high")
	}
	mean, sd := f.planned[0], f.planned[1]
	r.Mean, r.SD = mean, sd
	for _, side := range []struct {
		name     string
		limit    float64
		distance float64
	}{{"below", f.low, (mean - f.low) / sd}, {"above", f.high, (f.high - mean) / sd}} {
		if math.IsInf(side.limit, 0) {
			continue
		}
		plan := assurance.Plan{Distance: side.distance, Target: f.target, Confidence: f.level}
		n, err := plan.Readings(f.chance)
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
