package reports

import (
	"fmt"
	"slices"
	"strconv"
)

// CalibrationSchema names the form of the JSON of a calibration.
const CalibrationSchema = "clampodds.calibration/1"

// Calibration is what thermal readings say of inputs that are not known. Numbers
// are in SI units, the unit beside them.
type Calibration struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Condition is the one of the study that the readings were taken in, empty for
	// the study as written.
	Condition  string  `json:"condition,omitempty"`
	Data       string  `json:"data"`
	DataDigest string  `json:"data_digest_sha256"`
	Rows       int     `json:"rows"`
	Cards      int     `json:"cards"`
	Seed       uint64  `json:"seed"`
	Draws      int     `json:"draws"`
	Unusable   float64 `json:"unusable_draws"`
	GridPoints int     `json:"grid_points"`
	Level      float64 `json:"level"`

	// Slips are readings to look at before anything else; nil where there are none.
	Slips      *CalibrationSlips     `json:"slips,omitempty"`
	Parameters []CalibratedParameter `json:"parameters"`
	// Correlation of the parameters' normal scores after the readings, row by row.
	Correlation [][]float64 `json:"correlation,omitempty"`
	// LogEvidence is the natural logarithm of the density of the readings on their
	// scale, to compare studies on the same readings.
	LogEvidence float64              `json:"log_evidence"`
	Readings    []CalibrationReading `json:"readings"`
	Spread      []CalibrationSpread  `json:"spread"`
	// SpreadOf says what the shares of the spread are of; empty: they are in Unit.
	SpreadOf string             `json:"spread_of,omitempty"`
	Trends   []CalibrationTrend `json:"trends"`
	Surprise CalibrationTest    `json:"surprise"`
	Assumed  []string           `json:"assumed"`
	// Fragment is a study that extends the one read by the narrowed inputs.
	Fragment string    `json:"fragment"`
	Warnings []Warning `json:"warnings,omitempty"`
}

// CalibratedParameter is one input before and after the readings.
type CalibratedParameter struct {
	Key    string           `json:"key"`
	Unit   string           `json:"unit"`
	Shown  Unit             `json:"-"`
	Before CalibrationRange `json:"before"`
	After  CalibrationRange `json:"after"`
	// Entered is of the entry, a lognormal distribution fitted to what is known after.
	Entered CalibrationRange `json:"entered"`
	Mean    float64          `json:"mean"`
	StdDev  float64          `json:"sd"`
	// LogMedian and SigmaLn are the lognormal distribution of the fragment.
	LogMedian float64 `json:"lognormal_median"`
	SigmaLn   float64 `json:"lognormal_sigma_ln"`
	// Left is the standard deviation of the normal score after the readings; it
	// was 1 before.
	Left float64 `json:"spread_left"`
	// Entry is the value of the key, ready to paste into a study.
	Entry string             `json:"entry"`
	Curve []CalibrationPoint `json:"density"`
}

// CalibrationRange is a median with an interval.
type CalibrationRange struct {
	Median float64 `json:"median"`
	Interval
}

// CalibrationPoint is a point of both densities, in 1 over the unit.
type CalibrationPoint struct {
	Value  float64 `json:"value"`
	Before float64 `json:"before"`
	After  float64 `json:"after"`
}

// CalibrationReading is one reading with what was to be expected.
type CalibrationReading struct {
	Line     int    `json:"line"`
	Card     string `json:"card,omitempty"`
	Quantity string `json:"quantity"`
	Label    string `json:"label"`
	Unit     string `json:"unit"`
	Shown    Unit   `json:"-"`
	// Difference is Shown for differences.
	Difference Unit         `json:"-"`
	Conditions []NamedValue `json:"conditions"`
	Value      float64      `json:"value"`
	Noise      float64      `json:"noise"`
	// Before and After are of a further card under the same conditions, noise
	// included.
	Before       CalibrationRange `json:"before"`
	After        CalibrationRange `json:"after"`
	Residual     float64          `json:"residual"`
	Standardised float64          `json:"standardised_residual"`
}

// CalibrationSpread is one source of the spread of a reading, as a standard
// deviation.
type CalibrationSpread struct {
	Name  string  `json:"name"`
	Label string  `json:"label"`
	Unit  string  `json:"unit"`
	Shown Unit    `json:"-"`
	Value float64 `json:"value"`
}

// CalibrationTest is a test with its probability.
type CalibrationTest struct {
	Method      string  `json:"method"`
	Statistic   float64 `json:"statistic"`
	Freedom     int     `json:"degrees_of_freedom,omitempty"`
	Probability float64 `json:"p"`
}

// CalibrationTrend is the change of the first parameter that a condition would
// ask for.
type CalibrationTrend struct {
	Against string `json:"against"`
	// From and To are the parameter's values at the smallest and the largest value
	// of the condition.
	From    float64         `json:"from"`
	To      float64         `json:"to"`
	Shown   Unit            `json:"-"`
	Test    CalibrationTest `json:"test"`
	Flagged bool            `json:"flagged"`
	// Without is the same of the readings without slips; nil where there are none, or one value of the condition is left.
	Without        *CalibrationTest `json:"test_without,omitempty"`
	FlaggedWithout bool             `json:"flagged_without,omitempty"`
	// Hint says what a trend points to.
	Hint string `json:"hint"`
}

// Document draws the calibration for people.
func (c Calibration) Document() Document {
	d := Document{Title: c.Provenance.Title}
	d.AddFilled(Paragraph(c.Slips.text(c.Level)))
	d.Add(c.parameters(), c.readings(), c.spread(), c.trends(), c.entries())
	d.AddFilled(c.Slips.entries())
	d.Add(Heading("Taken as given"), List(c.Assumed))
	d.Add(warningBlocks(c.Warnings)...)
	d.Add(c.calculation())
	d.addEnd(nil, c.Provenance.Table())
	return d
}

// cells prints low, median and high with the decimals that the interval supports.
func (r CalibrationRange) cells(u Unit) (low, median, high string) {
	l, m, h := u.Of(r.Low), u.Of(r.Median), u.Of(r.High)
	d := Digits(m, l, h)
	return Number(l, d), Number(m, d), Number(h, d)
}

func (c Calibration) parameters() *Table {
	t := newTable("parameters", fmt.Sprintf("What %d rows of %s say", c.Rows, c.Data), texts("input", "known"), numbers("low", "median", "high", "spread left"))
	t.note(fmt.Sprintf("low, high: interval that holds the input with a probability of %s %%, given study, readings and model. spread left: share of the standard deviation it had before. in the entry: as the study to be written has it, a lognormal distribution with the mean and the standard deviation of the logarithm after the readings.",
		Plain(100*c.Level)))
	for i, p := range c.Parameters {
		low, median, high := p.Before.cells(p.Shown)
		t.AddRow(p.Shown.Head(p.Key), "before", low, median, high, "100 %")
		low, median, high = p.After.cells(p.Shown)
		t.AddRow("", "after", low, median, high, Number(100*p.Left, 0)+" %")
		low, median, high = p.Entered.cells(p.Shown)
		t.AddRow("", "in the entry", low, median, high, "")
		if c.Slips != nil && len(c.Slips.Without) > 0 {
			w := c.Slips.Without[i]
			low, median, high = w.After.cells(p.Shown)
			t.AddRow("", "after, without "+c.Slips.Names(), low, median, high, Number(100*w.Left, 0)+" %")
		}
	}
	return t
}

func (c Calibration) readings() *Table {
	t := newTable("readings", "Readings against what a card under the same conditions was and is expected to read", numbers("line"))
	t.note(fmt.Sprintf("before, after: interval of %s %% for a further card, noise included. residual: reading less the expectation with the input at its mean; in sd: over the standard deviation of noise and variation.",
		Plain(100*c.Level)))
	if c.Cards > 1 {
		t.Columns = append(t.Columns, texts("card")...)
	}
	if len(c.Readings) == 0 {
		return t
	}
	first := c.Readings[0]
	torque := setting(first.Conditions, "torque")
	if torque != nil {
		t.Columns = append(t.Columns, numbers(torque.Shown.Head("torque"))...)
	}
	t.Columns = slices.Concat(t.Columns, texts("place"), numbers(first.Shown.Head("read"), "before", "after", first.Difference.Head("residual"), "in sd"))
	for _, r := range c.Readings {
		cells := []string{fmt.Sprint(r.Line)}
		if c.Cards > 1 {
			cells = append(cells, r.Card)
		}
		if s := setting(r.Conditions, "torque"); torque != nil && s != nil {
			cells = append(cells, Plain(s.Shown.Of(s.Value)))
		}
		t.AddRow(append(cells, r.cells()...)...)
	}
	return t
}

// setting finds a condition.
func setting(list []NamedValue, name string) *NamedValue {
	for i := range list {
		if list[i].Name == name {
			return &list[i]
		}
	}
	return nil
}

// cells are the columns of a reading from its place on, down to the first digit of
// the noise.
func (r CalibrationReading) cells() []string {
	d := firstDigit(r.Difference.Of(r.Noise))
	number := func(x float64) string { return Number(r.Shown.Of(x), d) }
	span := func(x CalibrationRange) string { return number(x.Low) + " … " + number(x.High) }
	return []string{
		r.Label, number(r.Value), span(r.Before), span(r.After),
		Number(r.Difference.Of(r.Residual), d), Number(r.Standardised, 1),
	}
}

// firstDigit are the decimals down to the first digit of a noise.
func firstDigit(noise float64) int { return max(0, Digits(0, -noise, noise)-1) }

func (c Calibration) spread() *Table {
	t := newTable("spread", "Where the spread of a reading comes from, with the input at its mean", texts("source"), numbers("standard deviation"))
	if c.SpreadOf != "" {
		t.Caption += ": share of " + c.SpreadOf
	}
	for _, s := range c.Spread {
		text := Number(s.Shown.Of(s.Value), Digits(0, 0, s.Shown.Of(s.Value)))
		if s.Shown.Label != "" {
			text += " " + s.Shown.Label
		}
		t.AddRow(s.Label, text)
	}
	return t
}

func (c Calibration) trends() *Table {
	t := newTable("trends", "", texts("against"), numbers("from", "to", "z", "p"), texts("verdict"))
	t.note("from, to: what it would have to be at the smallest and at the largest value of the condition. p: generalised least squares, two-sided; a trend is called one below 5 % over all rows together (Bonferroni).",
		fmt.Sprintf("All readings together: chi squared %s with %d degrees of freedom, p %s: how often readings lie this far from what was expected before.",
			Number(c.Surprise.Statistic, 1), c.Surprise.Freedom, Probability(c.Surprise.Probability, 0, 0))+c.Slips.surprise())
	if len(c.Parameters) > 0 {
		t.Caption = "Would " + c.Parameters[0].Key + " have to change with a condition?"
	}
	for _, r := range c.Trends {
		t.AddRow(r.Against, strconv.FormatFloat(r.Shown.Of(r.From), 'g', 3, 64), strconv.FormatFloat(r.Shown.Of(r.To), 'g', 3, 64),
			Number(r.Test.Statistic, 1), Probability(r.Test.Probability, 0, 0), c.Slips.trend(r))
	}
	return t
}

func (c Calibration) entries() *Table {
	t := newTable("entries", "For the study (with -o FILE: a study of its own that extends this one)", texts("key", "value"))
	for _, p := range c.Parameters {
		t.AddRow(p.Key, p.Entry)
	}
	if c.Slips != nil {
		t.note("Holds " + c.Slips.Names() + ", to be looked at first.")
	}
	return t
}

func (c Calibration) calculation() *Table {
	t := newTable("calculation", "How it was computed", texts("item", "value"))
	t.AddRow("data", c.Data)
	t.AddRow("digest (SHA-256)", c.DataDigest)
	t.addGiven("condition", c.Condition)
	t.AddRow("seed", fmt.Sprint(c.Seed))
	t.AddRow("draws of what scatters", fmt.Sprintf("%d, the same for every value of the inputs", c.Draws))
	t.AddRow("grid", fmt.Sprintf("%d points", c.GridPoints))
	t.AddRow("interval level", Plain(100*c.Level)+" %")
	return t
}
