package question

import (
	"fmt"
	"math"
	"strings"

	"clampodds/dist"
	"clampodds/dist/gauge"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/result"
)

// describeGauge converts what a study says for the reports.
func describeGauge(r *reports.Gauge, s *gauge.Study, u gauge.Uncertainty) {
	r.Parts, r.Operators, r.Repeats, r.Mean, r.Interaction, r.Terms = s.Parts, s.Operators, s.Repeats, s.Mean, s.Kept, u.Terms
	total := s.Gauge.Variance + s.Between.Variance
	for _, c := range append(append([]gauge.Component{}, s.Components...), s.Gauge, s.Between) {
		r.Components = append(r.Components, reports.GaugeComponent{
			Source: c.Source, Variance: c.Variance, SD: math.Sqrt(c.Variance),
			Interval: reports.Interval{Low: math.Sqrt(c.Interval.Low), High: math.Sqrt(c.Interval.High)}, Share: c.Variance / total,
		})
	}
	r.System = reports.GaugeUncertainty{Standard: u.System, Expanded: 2 * u.System}
	factor := u.GuardFactor()
	r.Process = reports.GaugeUncertainty{Standard: u.Process, Interval: &u.Interval, Freedom: &u.Freedom, Guard: &factor, Expanded: 2 * u.Process}
	r.Single, r.Shared = u.Single, u.Shared
	several, one := s.ScatterFreedom(false), s.ScatterFreedom(true)
	r.Scatter = reports.GaugeScatter{Several: s.Scatter(false), One: s.Scatter(true), SeveralFreedom: &several, OneFreedom: &one}
	for _, model := range []struct {
		name string
		rows []gauge.Row
	}{{"with interaction", s.With}, {"without interaction", s.Without}} {
		for _, row := range model.rows {
			r.Analysis = append(r.Analysis, reports.GaugeRow{Model: model.name, Row: row})
		}
	}
	if s.Operators == 1 {
		r.Warnings = append(r.Warnings, reports.Warning{Code: "one-operator", Text: "one operator: what operators differ by is not in the uncertainty"})
	}
}

// judge holds the uncertainty against the tolerance.
func (g *Gauge) judge(r *reports.Gauge, u gauge.Uncertainty) sim.Verdict {
	r.Answer = strings.TrimRight(fmt.Sprintf("The uncertainty of a reading is U = %.3g (%.3g to %.3g) %s", 2*u.Process, 2*u.Interval.Low, 2*u.Interval.High, r.Unit), " ") + "."
	if bounded(g.Tolerance) == (result.Interval{}) {
		return sim.NoTarget
	}
	r.Acceptance = g.guard(u, *r.Process.Guard)
	tolerance := g.Tolerance.High - g.Tolerance.Low
	if 2*r.Acceptance.Band >= tolerance {
		r.Warnings = append(r.Warnings, reports.Warning{Code: "no-acceptance", Text: "the guard bands take the whole tolerance: no reading accepts a part"})
	}
	if math.IsInf(tolerance, 1) {
		return sim.NoTarget // a ratio takes both ends
	}
	ratio := func(u float64) *float64 { q := gauge.Ratio(u, tolerance); return &q }
	r.System.Ratio, r.Process.Ratio, r.Process.Largest = ratio(u.System), ratio(u.Process), &g.LargestRatio
	low, high := ratio(u.Interval.Low), ratio(u.Interval.High)
	r.Process.RatioLow, r.Process.RatioHigh = low, high
	verdict := result.Interval{Low: *low, High: *high}.Judge(g.LargestRatio)
	r.Verdict = verdict.String()
	opening := map[sim.Verdict]string{sim.Met: "GOOD ENOUGH", sim.NotMet: "NOT GOOD ENOUGH", sim.Undecided: "UNDECIDED"}[verdict]
	wanting := ""
	if verdict == sim.Undecided {
		wanting = "; more operators, parts and repeats would tell"
	}
	r.Answer = fmt.Sprintf("%s: 2 U is %.3g %% (%.3g to %.3g %%) of the tolerance, %.3g %% is allowed%s. %s", opening, 100**r.Process.Ratio,
		100**low, 100**high, 100*g.LargestRatio, wanting, r.Answer)
	return verdict
}

// guard are the readings that accept and reject a part, a band of so many uncertainties from the limit unless another was asked for.
func (g *Gauge) guard(u gauge.Uncertainty, factor float64) *reports.GaugeGuard {
	if g.GuardFactor != nil {
		factor = *g.GuardFactor
	}
	band := factor * u.Process
	a := &reports.GaugeGuard{
		Factor: factor, Band: band, Wrong: u.WronglyAccepted(factor), Known: dist.NormalSurvival(factor),
	}
	if low := g.Tolerance.Low; !math.IsInf(low, -1) {
		a.Limits = append(a.Limits, reports.GaugeLimit{Side: "lower", Limit: low, Accept: low + band, Reject: low - band})
	}
	if high := g.Tolerance.High; !math.IsInf(high, 1) {
		a.Limits = append(a.Limits, reports.GaugeLimit{Side: "upper", Limit: high, Accept: high - band, Reject: high + band})
	}
	return a
}
