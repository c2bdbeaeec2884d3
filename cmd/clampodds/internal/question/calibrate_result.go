package question

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/rig"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/reports/figure"
	"clampodds/sim/calibrate"
)

func (c *Calibrated) report() reports.Calibration {
	r := reports.Calibration{
		Schema: reports.CalibrationSchema, Provenance: Provenance(c.read), Condition: c.used.ConditionName,
		Data: c.table.Name, DataDigest: c.table.Digest, Rows: len(c.table.Lines), Cards: len(c.table.Cards),
		Seed: c.wired.Problem.Seed, Draws: c.result.Draws, Unusable: c.result.Unusable, GridPoints: c.result.Points,
		Level: c.result.Confidence, LogEvidence: c.result.LogEvidence,
		Trends: c.trends(), Assumed: c.table.Assumed(c.used), Warnings: append(c.table.Warnings(), c.result.Warnings...),
		Surprise: surpriseOf(c.result),
	}
	for i, m := range c.result.Marginals {
		r.Parameters = append(r.Parameters, c.parameter(i, m))
		r.Warnings = append(r.Warnings, c.inputs[i].warnings(m, c.result.Confidence)...)
	}
	c.ofReadings = len(r.Warnings) - len(c.table.Warnings())
	if n := len(c.result.Marginals); n > 1 {
		for i := range n {
			row := make([]float64, n)
			for j := range row {
				row[j] = c.result.Correlation.At(i, j)
			}
			r.Correlation = append(r.Correlation, row)
		}
	}
	c.readings(&r)
	c.spread(&r)
	c.besideSlips(&r)
	return r
}

func surpriseOf(r *calibrate.Result) reports.CalibrationTest {
	s := r.Surprise
	return reports.CalibrationTest{Method: "chi squared", Statistic: s.Distance, Freedom: s.Freedom, Probability: s.Probability}
}

// warnings are of an entry that is not what is known.
func (n *narrowed) warnings(m *calibrate.Marginal, confidence float64) []reports.Warning {
	off := n.misfit(m, confidence)
	if !(off > farOff) {
		return nil
	}
	return []reports.Warning{{Code: "not-lognormal", Text: fmt.Sprintf("%s: the lognormal distribution of the study differs from the posterior by %.0f %% of the interval's width", m.Name, 100*off)}}
}

// curvePoints of the densities for a picture.
const curvePoints = 121

func (c *Calibrated) parameter(i int, m *calibrate.Marginal) reports.CalibratedParameter {
	n := &c.inputs[i]
	p := c.ranges(n, m)
	p.Mean, p.StdDev = m.MeanStdDev()
	const ends = 1e-3
	low, high := math.Min(m.Prior.Quantile(ends), m.Quantile(ends)), math.Max(m.Prior.UpperQuantile(ends), m.Quantile(1-ends))
	for k := range curvePoints {
		x := low + (high-low)*float64(k)/(curvePoints-1)
		p.Curve = append(p.Curve, reports.CalibrationPoint{Value: x, Before: math.Exp(m.Prior.LogDensity(x)), After: m.Density(x)})
	}
	return p
}

// ranges are those of an input before and after, and of its entry.
func (c *Calibrated) ranges(n *narrowed, m *calibrate.Marginal) reports.CalibratedParameter {
	tail := (1 - c.result.Confidence) / 2
	return reports.CalibratedParameter{
		Key: m.Name, Unit: n.input.Parameter.Unit, Shown: ShownUnit(n.median, string(n.input.Quantity()), n.input.Unit),
		Before:    reports.CalibrationRange{Median: m.Prior.Quantile(0.5), Interval: reports.Interval{Low: m.Prior.Quantile(tail), High: m.Prior.UpperQuantile(tail)}},
		After:     reports.CalibrationRange{Median: m.Quantile(0.5), Interval: reports.Interval{Low: m.Quantile(tail), High: m.Quantile(1 - tail)}},
		Entered:   reports.CalibrationRange{Median: n.quantile(0.5), Interval: reports.Interval{Low: n.quantile(tail), High: n.quantile(1 - tail)}},
		LogMedian: n.median, SigmaLn: n.sigma,
		Left: m.ScoreStdDev(), Entry: newNarrowed(n.input, m, "").entry, // a table has no room for the source
	}
}

// readings sets every reading against what was to be expected.
func (c *Calibrated) readings(r *reports.Calibration) {
	t, scale := c.table, &c.wired.Scale
	for row, line := range t.Lines {
		conditions := c.conditions(row)
		for i, q := range t.Read {
			o := row*len(t.Read) + i
			found := c.result.Comparisons[o]
			span := func(p calibrate.Prediction) reports.CalibrationRange {
				return reports.CalibrationRange{Median: scale.From(row, p.Median), Interval: reports.Interval{Low: scale.From(row, p.Low), High: scale.From(row, p.High)}}
			}
			expected := scale.From(row, c.wired.Problem.Observations[o].Value-found.Residual)
			r.Readings = append(r.Readings, reports.CalibrationReading{
				Line: line, Card: t.Cards[t.Card[row]], Quantity: q.Name, Label: reports.Label(q.Name), Unit: string(q.Quantity),
				Shown: ShownUnit(q.Values[0], string(q.Quantity), q.Unit), Difference: ShownUnit(t.Noise[row], string(q.Quantity.Difference()), q.Unit),
				Conditions: conditions, Value: q.Values[row], Noise: t.Noise[row],
				Before: span(found.Before), After: span(found.After),
				Residual: q.Values[row] - expected, Standardised: found.Standardised,
			})
		}
	}
}

// spread says where the spread of a reading comes from.
func (c *Calibrated) spread(r *reports.Calibration) {
	b := c.result.Budget
	q := c.table.Read[0]
	unit, shown := string(q.Quantity.Difference()), ShownUnit(b.Noise, string(q.Quantity.Difference()), q.Unit)
	if c.wired.Scale.Logarithmic {
		unit, shown = "1", reports.Unit{Label: "%", Of: func(x float64) float64 { return 100 * x }}
		r.SpreadOf = "the resistance"
		if q.Quantity == units.Temperature {
			r.SpreadOf = "the rise above the wall"
		}
	}
	add := func(name, text string, value float64) {
		r.Spread = append(r.Spread, reports.CalibrationSpread{Name: name, Label: text, Unit: unit, Shown: shown, Value: value})
	}
	add("noise", "noise of a reading", b.Noise)
	if b.Setup > 0 {
		add("tightening", "tightening: scatter of the torque tool", b.Setup)
	}
	add("card", "from card to card: flatness, fits, faces", b.Unit)
	add("common", "what all cards read share: lot, lack of knowledge", b.Common)
}

// trends says what a trend points to.
func (c *Calibrated) trends() []reports.CalibrationTrend {
	var list []reports.CalibrationTrend
	first := &c.inputs[0]
	for _, t := range c.result.Trends {
		list = append(list, reports.CalibrationTrend{
			Against: t.Name, From: t.From, To: t.To, Shown: ShownUnit(first.median, string(first.input.Quantity()), first.input.Unit),
			Test:    *trendTest(t),
			Flagged: t.Flagged, Hint: trendHints[t.Name],
		})
	}
	return list
}

func trendTest(t calibrate.Trend) *reports.CalibrationTest {
	return &reports.CalibrationTest{Method: "generalised least squares", Statistic: t.Z, Probability: t.Probability}
}

// trendHints are what a trend may come from.
var trendHints = map[string]string{
	"torque":   "pressure exponent or friction",
	"power":    "power reading, heat past the edges",
	"wall":     "wall reading, gas or materials",
	"altitude": "gas in the gaps",
	rig.Order:  "faces change with use",
}

// Figures draws a calibration, by the name of the file: what was known of each input before and after, and the readings of each
// place against what was expected.
func (c *Calibrated) Figures() map[string][]byte {
	r := &c.Result
	all := map[string][]byte{}
	basis := figure.Basis{Samples: int64(r.Draws), Of: "draws of what scatters"}
	add := func(name, title, text string, d figure.Drawing) {
		all[strings.NewReplacer(".", "-", " ", "-").Replace(name)+".svg"] = figure.SVG(d, figure.Description{ID: name, Title: title, Text: text})
	}
	for _, p := range r.Parameters {
		before, after := figure.Curve{Name: "before the readings"}, figure.Curve{Name: "after"}
		for _, at := range p.Curve {
			x := p.Shown.Of(at.Value)
			before.Add(x, at.Before)
			after.Add(x, at.After)
		}
		add("known-"+p.Key, p.Key+", known before and after the readings", "Two densities over the value of "+p.Key+".",
			figure.Curves{X: figure.Axis{Label: p.Shown.Head(p.Key)}, Y: figure.Axis{Label: "density", Scale: figure.WithZero}, Height: 70, Curves: []figure.Curve{before, after}, Basis: basis})
	}
	for _, place := range placesRead(r) {
		read, before, after := figure.Curve{Name: "read"}, figure.Curve{Name: "expected before"}, figure.Curve{Name: "expected after"}
		head := ""
		for _, q := range r.Readings {
			if q.Quantity != place {
				continue
			}
			head = q.Shown.Head(q.Label)
			x := float64(len(read.X) + 1)
			of := q.Shown.Of
			read.Add(x, of(q.Value))
			before.AddBand(x, of(q.Before.Median), of(q.Before.Low), of(q.Before.High))
			after.AddBand(x, of(q.After.Median), of(q.After.Low), of(q.After.High))
		}
		add("read-"+place, "Readings against what was expected", "Each reading of "+place+" beside the intervals it was expected in before and after the readings.",
			figure.Curves{X: figure.Axis{Label: "reading, in the order of the table"}, Y: figure.Axis{Label: head}, Curves: []figure.Curve{read, before, after}, Basis: basis})
	}
	return all
}

func placesRead(r *reports.Calibration) (list []string) {
	for _, q := range r.Readings {
		if !slices.Contains(list, q.Quantity) {
			list = append(list, q.Quantity)
		}
	}
	return list
}
