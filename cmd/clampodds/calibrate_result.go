package main

import (
	"math"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/rig"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/sim/calibrate"
)

// calibrated is a calibration that is done.
type calibrated struct {
	read     *study.Study // as written; what the fragment extends
	used     *study.Study // in the condition of the readings
	table    *rig.Table
	wired    *rig.Calibration
	result   *calibrate.Result
	inputs   []narrowed
	fragment string
}

func newCalibrated(read, used *study.Study, table *rig.Table, wired *rig.Calibration, result *calibrate.Result, output string) *calibrated {
	c := &calibrated{read: read, used: used, table: table, wired: wired, result: result}
	for _, m := range result.Marginals {
		in := used.Input(m.Name)
		c.inputs = append(c.inputs, newNarrowed(in, m, calibrationSource(table.Name, len(table.Lines), in.Typed)))
	}
	c.fragment = c.fragmentText(output)
	return c
}

// report converts the result for the reports.
func (c *calibrated) report() reports.Calibration {
	r := reports.Calibration{
		Schema: reports.CalibrationSchema, Provenance: question.Provenance(c.read), Condition: c.used.ConditionName,
		Data: c.table.Name, DataDigest: c.table.Digest, Rows: len(c.table.Lines), Cards: len(c.table.Cards),
		Seed: c.wired.Problem.Seed, Draws: c.result.Draws, Unusable: real(c.result.Unusable), GridPoints: c.result.Points,
		Level: real(c.result.Confidence), LogEvidence: real(c.result.LogEvidence),
		Trends: c.trends(), Assumed: c.table.Assumed(c.used), Fragment: c.fragment, Warnings: reports.Warnings(c.result.Warnings),
	}
	s := c.result.Surprise
	r.Surprise = reports.CalibrationTest{Method: "chi squared", Statistic: real(s.Distance), Freedom: s.Freedom, Probability: real(s.Probability)}
	for i, m := range c.result.Marginals {
		r.Parameters = append(r.Parameters, c.parameter(i, m))
		if off := c.inputs[i].misfit(m, c.result.Confidence); off > farOff {
			r.Warnings = append(r.Warnings, lognormalWarning(m.Name, off))
		}
	}
	if n := len(c.result.Marginals); n > 1 {
		for i := range n {
			row := make([]reports.Real, n)
			for j := range row {
				row[j] = real(c.result.Correlation.At(i, j))
			}
			r.Correlation = append(r.Correlation, row)
		}
	}
	c.readings(&r)
	c.spread(&r)
	return r
}

// curvePoints of the densities for a picture.
const curvePoints = 121

func (c *calibrated) parameter(i int, m *calibrate.Marginal) reports.CalibratedParameter {
	n := &c.inputs[i]
	tail := (1 - c.result.Confidence) / 2
	mean, sd := m.MeanStdDev()
	p := reports.CalibratedParameter{
		Key: m.Name, Unit: n.input.Parameter.Unit, Shown: c.unit(n.median, n.input.Quantity(), n.input.Unit),
		Before: reports.CalibrationRange{Median: real(m.Prior.Quantile(0.5)), Interval: reports.Interval{Low: real(m.Prior.Quantile(tail)), High: real(m.Prior.UpperQuantile(tail))}},
		After:  reports.CalibrationRange{Median: real(m.Quantile(0.5)), Interval: reports.Interval{Low: real(m.Quantile(tail)), High: real(m.Quantile(1 - tail))}},
		Mean:   real(mean), StdDev: real(sd), LogMedian: real(n.median), SigmaLn: real(n.sigma),
		Left: real(m.ScoreStdDev()), Entry: shownEntry(n.input, m),
	}
	const ends = 1e-3
	low, high := math.Min(m.Prior.Quantile(ends), m.Quantile(ends)), math.Max(m.Prior.UpperQuantile(ends), m.Quantile(1-ends))
	for k := range curvePoints {
		x := low + (high-low)*float64(k)/(curvePoints-1)
		p.Curve = append(p.Curve, reports.CalibrationPoint{Value: real(x), Before: real(math.Exp(m.Prior.LogDensity(x))), After: real(m.Density(x))})
	}
	return p
}

// unit is the one for people.
func (c *calibrated) unit(typical float64, q units.Quantity, like string) reports.Unit {
	return question.ShownUnit(typical, string(q), like)
}

// readings sets every reading against what was to be expected.
func (c *calibrated) readings(r *reports.Calibration) {
	t, scale := c.table, &c.wired.Scale
	for row, line := range t.Lines {
		var conditions []reports.CalibrationSetting
		for _, q := range t.Set {
			conditions = append(conditions, reports.CalibrationSetting{
				Name: q.Key, Unit: string(q.Quantity), Value: real(q.Values[row]), Shown: c.unit(q.Values[0], q.Quantity, q.Unit),
			})
		}
		for i, q := range t.Read {
			o := row*len(t.Read) + i
			found := c.result.Comparisons[o]
			span := func(p calibrate.Prediction) reports.CalibrationRange {
				return reports.CalibrationRange{Median: real(scale.From(row, p.Median)), Interval: reports.Interval{Low: real(scale.From(row, p.Low)), High: real(scale.From(row, p.High))}}
			}
			expected := scale.From(row, c.wired.Problem.Observations[o].Value-found.Residual)
			r.Readings = append(r.Readings, reports.CalibrationReading{
				Line: line, Card: t.Cards[t.Card[row]], Quantity: q.Name, Label: reports.Label(q.Name), Unit: string(q.Quantity),
				Shown: c.unit(q.Values[0], q.Quantity, q.Unit), Difference: c.unit(t.Noise[row], q.Quantity.Difference(), q.Unit),
				Conditions: conditions, Value: real(q.Values[row]), Noise: real(t.Noise[row]),
				Before: span(found.Before), After: span(found.After),
				Residual: real(q.Values[row] - expected), Standardised: real(found.Standardised),
			})
		}
	}
}

// spread says where the spread of a reading comes from.
func (c *calibrated) spread(r *reports.Calibration) {
	b := c.result.Budget
	q := c.table.Read[0]
	unit, shown := string(q.Quantity.Difference()), c.unit(b.Noise, q.Quantity.Difference(), q.Unit)
	if c.wired.Scale.Logarithmic() {
		unit, shown = "1", reports.Unit{Label: "%", Of: func(x float64) float64 { return 100 * x }}
		r.SpreadOf = "the resistance"
		if q.Quantity == units.Temperature {
			r.SpreadOf = "the rise above the wall"
		}
	}
	add := func(name, text string, value float64) {
		r.Spread = append(r.Spread, reports.CalibrationSpread{Name: name, Label: text, Unit: unit, Shown: shown, Value: real(value)})
	}
	add("noise", "noise of a reading", b.Noise)
	if b.Setup > 0 {
		add("tightening", "tightening: scatter of the torque tool", b.Setup)
	}
	add("card", "from card to card: flatness, fits, faces", b.Unit)
	add("common", "what all cards read share: lot, lack of knowledge", b.Common)
}

// trends says what a trend points to.
func (c *calibrated) trends() []reports.CalibrationTrend {
	var list []reports.CalibrationTrend
	first := &c.inputs[0]
	for _, t := range c.result.Trends {
		list = append(list, reports.CalibrationTrend{
			Against: t.Name, From: real(t.From), To: real(t.To), Shown: c.unit(first.median, first.input.Quantity(), first.input.Unit),
			Test:    reports.CalibrationTest{Method: "generalised least squares", Statistic: real(t.Z), Probability: real(t.Probability)},
			Flagged: t.Flagged, Hint: trendHints[t.Name],
		})
	}
	return list
}

// trendHints are what a trend may come from.
var trendHints = map[string]string{
	"torque":   "pressure exponent or friction",
	"power":    "power reading, heat past the edges",
	"wall":     "wall reading, gas or materials",
	"altitude": "gas in the gaps",
	rig.Order:  "faces change with use",
}
