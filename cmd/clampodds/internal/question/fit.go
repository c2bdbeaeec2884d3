package question

import (
	"fmt"
	"math"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/dist/fit"
	"clampodds/dist/readings"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/assurance"
)

// Fit asks what a column of readings says. Numbers are in the unit of the readings. Ends of
// ranges are infinite where there is none.
type Fit struct {
	Input      string    // key of the input that was measured; empty: by the header and the unit
	Limits     fit.Range // of a part
	Kept       fit.Range // inspection has cut the parts outside
	BetaLimits fit.Range
	Gauge      GaugeError
	Resolution float64
	Families   []string // empty: all that the readings allow
	fit.Options
	// Target is the largest probability of parts beyond a limit, 0 for none; Chance that so
	// many readings decide, where it is open.
	Target, Chance float64
}

// Ask fits the readings and judges them.
func (f Fit) Ask(data, digest string, table *readings.Table) (r reports.Fit, verdict sim.Verdict, err error) {
	r = reports.Fit{Schema: reports.FitSchema, Version: Version, Data: data, Digest: digest, Column: table.Column, Unit: table.Unit, Level: f.Level, Gauge: f.Gauge.From}
	if err := f.check(); err != nil {
		return r, verdict, err
	}
	if f.Target > 0 {
		r.Chance = f.Chance
	}
	p, err := f.measurand(table)
	if err != nil {
		return r, verdict, err
	}
	sample, err := f.sample(&r, table)
	if err != nil {
		return r, verdict, err
	}
	compared, err := sample.Compare(f.families(), f.Options)
	if err != nil {
		return r, verdict, err
	}
	if err := twoValues(sample, compared.Fits); err != nil {
		return r, verdict, err
	}
	if len(compared.Fits) == 0 {
		return r, verdict, fmt.Errorf("no family fits these readings: %w", compared.Refused[0].Err)
	}
	for _, g := range compared.Fits {
		family := reports.FittedFamily{Fit: g, Entry: g.Entry().TOML(quantityText(table.Unit))}
		if p.what != "" {
			family.Below0 = p.impossible(g)
		}
		r.Families = append(r.Families, family)
	}
	for _, g := range compared.Refused {
		r.Refused = append(r.Refused, reports.RefusedFamily{Family: string(g.Family), Reason: g.Err.Error()})
	}
	at, why := p.pasted(compared.Fits)
	best := compared.Fits[at]
	r.Choice = reports.Choice{Family: string(best.Family), Quantity: p.what, Reason: why}
	r.Entry, r.Warnings = r.Families[at].Entry, append(r.Warnings, best.Warnings...)
	if r.Plot, err = best.ProbabilityPlot(200); err != nil {
		return r, verdict, err
	}
	if err = f.inRange(&r, best); err != nil {
		return r, verdict, err
	}
	if err = f.steps(&r, sample, compared.Fits); err != nil {
		return r, verdict, err
	}
	if err = f.describe(&r, table, sample, best); err != nil {
		return r, verdict, err
	}
	if err = f.flagged(&r, table, sample, best, p); err != nil {
		return r, verdict, err
	}
	verdict, err = f.beyond(&r, sample, best, p.alike(compared.Fits, -2*math.Log(1-f.Level)))
	return r, verdict, err
}

func (f *Fit) check() error {
	if !(f.Gauge.SD >= 0) {
		return refused("gauge", "%g: must be >= 0", f.Gauge.SD)
	}
	if !(f.Gauge.Limit >= 0) {
		return refused("gauge-limit", "%g: must be >= 0", f.Gauge.Limit)
	}
	return f.checkTarget()
}

// sample takes the readings. Coarse steps without a declared resolution are taken as
// rounding, and the result says so.
func (f *Fit) sample(r *reports.Fit, table *readings.Table) (*fit.Sample, error) {
	data := fit.Data{
		Values: table.Values, Below: table.Below, Above: table.Above, Resolution: f.Resolution,
		GaugeSD: f.Gauge.sd(), GaugeFreedom: f.Gauge.freedom(), Kept: bounded(f.Kept), BetaLimits: f.BetaLimits,
	}
	sample, err := fit.NewSample(data)
	if err != nil {
		return nil, err
	}
	if data.Resolution = sample.Coarse(); data.Resolution == 0 {
		return sample, nil
	}
	r.Warnings = append(r.Warnings, reports.Warning{Code: fit.CoarseResolution, Text: fmt.Sprintf(
		"the readings come in steps of %s: each is taken as anything within half a step; --resolution gives another", reports.Plain(data.Resolution))})
	return fit.NewSample(data)
}

// bounded is a range as package fit has it: zero where it has no end.
func bounded(r fit.Range) fit.Range {
	if math.IsInf(r.Low, -1) && math.IsInf(r.High, 1) {
		return fit.Range{}
	}
	return r
}

// families are those asked for; by default all, the beta family only with its limits.
func (f *Fit) families() (list []fit.Family) {
	for _, name := range f.Families {
		list = append(list, fit.Family(name))
	}
	if len(list) > 0 {
		return list
	}
	for _, g := range fit.Families() {
		if g != fit.Beta || f.BetaLimits != (fit.Range{}) {
			list = append(list, g)
		}
	}
	return list
}

// quantityText writes a value of the readings as the text of a study file, nil
// for readings without a unit.
func quantityText(unit string) func(value float64, difference bool) string {
	if unit == "" || unit == "1" {
		return nil
	}
	difference := unit
	if units.QuantityOf(unit) == units.Temperature {
		difference = units.DifferenceUnit(unit)
	}
	return func(value float64, isDifference bool) string {
		text := unit
		if isDifference {
			text = difference
		}
		return fmt.Sprintf("%q", reports.Plain(value)+" "+text)
	}
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
