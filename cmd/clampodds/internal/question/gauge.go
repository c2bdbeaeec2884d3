package question

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/dist/gauge"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/result"
)

// Gauge asks whether a gauge is good enough. Numbers are in the unit of the readings.
type Gauge struct {
	Columns      gauge.Options
	Model        gauge.Model
	Known        gauge.Known
	Tolerance    result.Interval // ends infinite where there is none
	LargestRatio float64         // of 2 U to the tolerance
	GuardFactor  *float64        // nil: that of the study
	Level        float64
}

// NewGauge asks without a tolerance.
func NewGauge() Gauge {
	return Gauge{Model: gauge.ByTest, Tolerance: result.Interval{Low: math.Inf(-1), High: math.Inf(1)}, LargestRatio: 0.3, Level: 0.95}
}

// Ask judges the gauge by the readings of a study. Without a tolerance there is no target.
func (g Gauge) Ask(data, digest string, text []byte) (r reports.Gauge, verdict sim.Verdict, err error) {
	r = reports.Gauge{Schema: reports.GaugeSchema, Version: Version, Data: data, Digest: digest, Level: g.Level}
	if err := g.check(); err != nil {
		return r, verdict, err
	}
	g.Columns.Format.Convert = inTheirUnit(g.Columns.Format.Unit)
	file, err := gauge.Read(text, g.Columns)
	if err != nil {
		return r, verdict, err
	}
	r.Column, r.Unit = file.Column, file.Unit
	s, err := gauge.New(file.Readings, g.Model, g.Level)
	if err != nil {
		return r, verdict, err
	}
	u, err := s.Uncertainty(g.Known)
	if err != nil {
		part, rest, _ := strings.Cut(err.Error(), " ") // it names what is known by its field
		return r, verdict, refused(part, "%s", rest)
	}
	describeGauge(&r, s, u)
	return r, g.judge(&r, u), nil
}

func (g *Gauge) check() error {
	switch {
	case !(g.Tolerance.Low < g.Tolerance.High):
		return refused("low", "%g, --high %g: the tolerance is empty", g.Tolerance.Low, g.Tolerance.High)
	case g.GuardFactor != nil && !(*g.GuardFactor >= 0 && *g.GuardFactor <= 10):
		return refused("guard-factor", "%g: must be 0 to 10", *g.GuardFactor)
	case !(g.LargestRatio > 0 && g.LargestRatio <= 1):
		return refused("largest-ratio", "%g: must be above 0, 1 at most", g.LargestRatio)
	}
	return nil
}

// GaugeStudy reads a study: the result of gauge as JSON, or the readings, which are then
// judged without a tolerance.
func GaugeStudy(data, digest string, text []byte, commas bool) (r reports.Gauge, err error) {
	if !bytes.HasPrefix(bytes.TrimSpace(text), []byte("{")) {
		g := NewGauge()
		g.Columns.Format.DecimalComma = commas
		r, _, err = g.Ask(data, digest, text)
		return r, err
	}
	err = json.Unmarshal(text, &r)
	switch {
	case err != nil:
	case r.Schema != reports.GaugeSchema:
		err = fmt.Errorf("schema %q: must be %s", r.Schema, reports.GaugeSchema)
	case !(r.Process.Standard > 0 && r.Scatter.One > 0 && r.Scatter.Several > 0 && r.Single > 0 && r.Shared >= 0):
		err = errors.New("it gives no uncertainty")
	case r.Process.Guard == nil:
		err = errors.New("it is of an earlier version and gives no guard factor")
	}
	if err != nil {
		return r, fmt.Errorf("no result of gauge --format json: %w", err)
	}
	return r, nil
}

// inUnit returns how many of a unit are one of the gauge's; differences are meant.
func inUnit(g reports.Gauge, unit string) (float64, error) {
	if g.Unit == unit {
		return 1, nil
	}
	if g.Unit == "" || unit == "" {
		return 0, fmt.Errorf("one of the gauge study and the readings has no unit: %q and %q", g.Unit, unit)
	}
	convert, err := units.Between(g.Unit, unit)
	if err != nil {
		return 0, fmt.Errorf("the gauge study is in %s: %w", g.Unit, err)
	}
	return math.Abs(convert(1) - convert(0)), nil
}

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
