package question

import (
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/dist/fit"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/assurance"
	"clampodds/sim/result"
)

// beyond states the probability of parts beyond each limit given. A target is met where the fitted curve meets it and nothing
// that the readings say of that curve leaves it open. Alike are the families that the readings do not rule out at the level: those
// whose likelihood, AICc's way, is 1 - level of the likeliest one's or more, a difference of 6 for 95 %.
func (f *Fit) beyond(r *reports.Fit, sample *fit.Sample, best *fit.Fit, alike []*fit.Fit) (verdict sim.Verdict, err error) {
	for _, side := range []struct {
		limit float64
		above bool
	}{{f.Limits.Low, false}, {f.Limits.High, true}} {
		if math.IsInf(side.limit, 0) {
			continue
		}
		e, err := best.Exceedance(side.limit, side.above, f.Level)
		if err != nil {
			return verdict, err
		}
		low, err := best.Exceedance(side.limit, side.above, 1-f.Level)
		if err != nil {
			return verdict, err
		}
		b, found := f.judge(e, low.Upper)
		b.Family = best.Family
		if found == sim.Met {
			if b.Doubt, err = f.doubt(r, best, alike, side.limit, side.above); err != nil {
				return verdict, err
			}
			if b.Doubt != nil {
				found = sim.Undecided
				b.Verdict = found.String()
			} else {
				b.Under = f.under(sample, best, alike, b.Exceedance)
			}
		}
		r.Beyond, verdict = append(r.Beyond, b), sim.All(verdict, found)
	}
	return verdict, nil
}

// under says under which families a target is met: those alike. None of those asked has heavy tails, so that it is said as well what a
// heavy one gives, except of families that are given: they are known.
func (f *Fit) under(sample *fit.Sample, best *fit.Fit, alike []*fit.Fit, e fit.Exceedance) *reports.Under {
	u := &reports.Under{Given: len(f.Families) > 0}
	if !slices.Contains(alike, best) { // it is given, or the quantity does not allow it
		alike = append([]*fit.Fit{best}, alike...)
	}
	for _, g := range alike {
		u.Families = append(u.Families, g.Family)
	}
	if u.Given || e.PlugIn == 0 && e.Upper == 0 { // beyond what inspection keeps, whatever the family
		return u
	}
	heavy, err := sample.HeavyTail(e.Limit, e.Side == "above", e.Level)
	if err != nil {
		return u // it cannot be fitted: nothing is said of it
	}
	u.Heavy = &reports.HeavyTail{Predictive: heavy.Predictive, Upper: heavy.Upper, Meets: max(heavy.Predictive, heavy.Upper) <= f.Target}
	return u
}

// doubts are what takes from a fitted curve that it speaks of parts to come, the weightiest first.
var doubts = []result.WarningCode{fit.LotsDiffer, fit.PilesUp, fit.Rejected, fit.NotStable}

// doubt says why a target that the fitted curve meets is not shown to be met: an outlier, readings that stand twice, one of the doubts, a family without tails that
// nobody gave, or another one that is not ruled out and has too many parts beyond. Nil where there is none.
func (f *Fit) doubt(r *reports.Fit, best *fit.Fit, alike []*fit.Fit, limit float64, above bool) (*reports.Doubt, error) {
	if r.Slips != nil {
		return &reports.Doubt{Code: fit.Outliers}, nil
	}
	if r.Repeated != nil {
		return &reports.Doubt{Code: fit.Repeats}, nil
	}
	for _, code := range doubts {
		if slices.ContainsFunc(r.Warnings, func(w reports.Warning) bool { return w.Code == code }) {
			return &reports.Doubt{Code: code}, nil
		}
	}
	if best.Family == fit.Uniform && len(f.Families) == 0 {
		return &reports.Doubt{Code: fit.EndsAtReadings}, nil
	}
	var worst *reports.Doubt
	for _, g := range alike {
		e, err := g.Exceedance(limit, above, f.Level)
		if err != nil {
			return nil, err
		}
		if max(e.Predictive, e.Upper) > f.Target && (worst == nil || e.Upper > worst.Upper) {
			worst = &reports.Doubt{Code: fit.NotDistinguishable, Family: g.Family, Predictive: e.Predictive, Upper: e.Upper}
		}
	}
	return worst, nil
}

// judge holds what the readings say of parts beyond a limit against the target, and says how many more readings would decide. Not met
// is what the bound low from below, at the same level, is above: a next part that is above the target alone may be so because so few
// readings leave it open, and the fitted curve is as often too high as too low.
func (f *Fit) judge(e fit.Exceedance, low float64) (b reports.Beyond, verdict sim.Verdict) {
	b.Exceedance = e
	if f.Target == 0 {
		return b, sim.NoTarget
	}
	verdict = sim.Undecided
	switch {
	case e.Predictive <= f.Target && e.Upper <= f.Target:
		verdict = sim.Met
	case e.Predictive > f.Target && low > f.Target:
		verdict = sim.NotMet
	}
	b.Verdict, b.Target = verdict.String(), &f.Target
	if verdict == sim.Undecided && e.Predictive <= f.Target {
		if q, err := assurance.New(e.PlugIn, e.Upper, f.Target, e.Level); err == nil {
			b.More = q.Readings(e.N, f.Chance)
		}
	}
	if b.FewReadings = verdict == sim.Undecided && e.Predictive > f.Target; b.FewReadings && e.PlugIn > 0 {
		plan := assurance.LimitTest{Distance: -dist.NormalQuantile(e.PlugIn), Target: f.Target, Confidence: e.Level}
		if n, err := plan.Readings(f.Chance); err == nil && n > e.N {
			b.InAll = n
		}
	}
	return b, verdict
}

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
