package main

import (
	"fmt"
	"math"
	"strings"

	"clampodds/dist/gauge"
	"clampodds/reports"
	"clampodds/sim"
)

// describeGauge converts what a study says for the reports.
func describeGauge(r *reports.Gauge, s *gauge.Study, u gauge.Uncertainty) {
	r.Parts, r.Operators, r.Repeats, r.Mean, r.Interaction = s.Parts, s.Operators, s.Repeats, s.Mean, s.Kept
	total := s.Gauge.Variance + s.Between.Variance
	for _, c := range append(append([]gauge.Component{}, s.Components...), s.Gauge, s.Between) {
		r.Components = append(r.Components, reports.GaugeComponent{
			Source: c.Source, Variance: c.Variance, SD: math.Sqrt(c.Variance),
			Interval: reports.Interval{Low: math.Sqrt(c.Interval.Low), High: math.Sqrt(c.Interval.High)}, Share: c.Variance / total,
		})
	}
	for _, t := range u.Terms {
		r.Terms = append(r.Terms, reports.GaugeTerm{Symbol: t.Symbol, Name: t.Name, Value: t.Value, Counted: t.Counted})
	}
	low, high, freedom := u.Interval.Low, u.Interval.High, u.Freedom
	r.System = reports.GaugeUncertainty{Standard: u.System, Expanded: 2 * u.System}
	r.Process = reports.GaugeUncertainty{Standard: u.Process, Low: &low, High: &high, Freedom: &freedom, Expanded: 2 * u.Process}
	r.Single, r.Shared = u.Single, u.Shared
	several, one := s.ScatterFreedom(false), s.ScatterFreedom(true)
	r.Scatter = reports.GaugeScatter{Several: s.Scatter(false), One: s.Scatter(true), SeveralFreedom: &several, OneFreedom: &one}
	for _, model := range []struct {
		name string
		rows []gauge.Row
	}{{"with interaction", s.With}, {"without interaction", s.Without}} {
		for _, row := range model.rows {
			one := reports.GaugeRow{Model: model.name, Source: row.Source, Squares: row.SumSquares, Freedom: row.Freedom, MeanSquare: row.MeanSquare}
			if row.F > 0 {
				f, p := row.F, row.P
				one.F, one.P = &f, &p
			}
			r.Analysis = append(r.Analysis, one)
		}
	}
	if s.Operators == 1 {
		r.Warnings = append(r.Warnings, reports.Warning{Code: "one-operator", Text: "one operator: what operators differ by is not in the uncertainty"})
	}
}

// judge holds the uncertainty against the tolerance.
func (g *gauging) judge(r *reports.Gauge, u gauge.Uncertainty) {
	g.verdict = sim.Met // without a tolerance nothing is asked
	r.Answer = strings.TrimRight(fmt.Sprintf("The uncertainty of a reading is U = %.3g (%.3g to %.3g) %s", 2*u.Process, 2*u.Interval.Low, 2*u.Interval.High, r.Unit), " ") + "."
	if math.IsInf(g.low, -1) && math.IsInf(g.high, 1) {
		return
	}
	r.Acceptance = g.guard(u)
	if 2*r.Acceptance.Band >= g.high-g.low {
		r.Warnings = append(r.Warnings, reports.Warning{Code: "no-acceptance", Text: "the guard bands take the whole tolerance: no reading accepts a part"})
	}
	tolerance := g.high - g.low
	if math.IsInf(tolerance, 1) {
		return // a ratio takes both ends
	}
	ratio := func(u float64) *reports.Real { q := gauge.Ratio(u, tolerance); return &q }
	largest := g.largest
	r.System.Ratio, r.Process.Ratio, r.Process.Largest = ratio(u.System), ratio(u.Process), &largest
	r.Process.RatioLow, r.Process.RatioHigh = ratio(u.Interval.Low), ratio(u.Interval.High)
	g.verdict = sim.Undecided
	opening, wanting := "UNDECIDED", "; more operators, parts and repeats would tell"
	switch {
	case *r.Process.RatioHigh <= g.largest:
		g.verdict, opening, wanting = sim.Met, "GOOD ENOUGH", ""
	case *r.Process.RatioLow > g.largest:
		g.verdict, opening, wanting = sim.NotMet, "NOT GOOD ENOUGH", ""
	}
	r.Verdict = g.verdict.String()
	r.Answer = fmt.Sprintf("%s: 2 U is %.3g %% (%.3g to %.3g %%) of the tolerance, %.3g %% is allowed%s. %s", opening, 100**r.Process.Ratio,
		100**r.Process.RatioLow, 100**r.Process.RatioHigh, 100*g.largest, wanting, r.Answer)
}

// guard are the readings that accept and reject a part.
func (g *gauging) guard(u gauge.Uncertainty) *reports.GaugeGuard {
	factor := g.factor
	if !g.given("guard-factor") {
		factor = gauge.GuardFactorOf(u.Freedom)
	}
	band := factor * u.Process
	a := &reports.GaugeGuard{
		Factor: factor, Band: band, Wrong: gauge.WronglyAccepted(factor, u.Freedom), Known: gauge.WronglyAccepted(factor, math.Inf(1)),
	}
	if !math.IsInf(g.low, -1) {
		a.Limits = append(a.Limits, reports.GaugeLimit{Side: "lower", Limit: g.low, Accept: g.low + band, Reject: g.low - band})
	}
	if !math.IsInf(g.high, 1) {
		a.Limits = append(a.Limits, reports.GaugeLimit{Side: "upper", Limit: g.high, Accept: g.high - band, Reject: g.high + band})
	}
	return a
}
