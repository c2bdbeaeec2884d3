package reports

import (
	"fmt"
	"math"
	"strings"
)

// CalibrationSlip is a reading, or all readings of a row, that lies too far from what all others lead to expect: mistyped, perhaps.
// It is in every number all the same, but in those that say they are without.
type CalibrationSlip struct {
	Line     int              `json:"line"`
	Card     string           `json:"card,omitempty"`
	Readings []SlippedReading `json:"readings"`
	Settings []NamedValue     `json:"settings,omitempty"` // of the row, where it is off as a whole
	P        float64          `json:"p"`                  // that any reading or row of a table without slips lies as far out, at most
}

// SlippedReading is one reading with what all others lead to expect.
type SlippedReading struct {
	Column   string           `json:"column"` // header in the file
	Unit     string           `json:"unit"`
	Shown    Unit             `json:"-"`
	Value    float64          `json:"value"`
	Expected CalibrationRange `json:"expected"`
	// Off is the value less the median, over the standard deviation of what was to be expected.
	Off float64 `json:"standard_deviations_off"`
	// Noise of the reading, in Difference: numbers are shown to its first digit.
	Noise      float64 `json:"noise"`
	Difference Unit    `json:"-"`
}

// CalibrationSlips are all of them, with what is said without them.
type CalibrationSlips struct {
	Found []CalibrationSlip `json:"found"`
	// Rate is that of tables without slips to be told that they have one, at most.
	Rate float64 `json:"rate"`
	// Without are the parameters as the other readings have them, in the order of Calibration.Parameters; empty where they say nothing
	// of them. Surprise is that of the other readings.
	Without  []CalibratedWithout `json:"without,omitempty"`
	Surprise *CalibrationTest    `json:"surprise_without,omitempty"`
}

// CalibratedWithout is one input by the other readings.
type CalibratedWithout struct {
	Key     string           `json:"key"`
	After   CalibrationRange `json:"after"`
	Left    float64          `json:"spread_left"`
	Entered CalibrationRange `json:"entered"`
	Entry   string           `json:"entry"`
}

// text is a reading with what was to be expected: "left edge 48.2 °C, expected 42.9 (42.2 to 43.7), 14 standard deviations off".
func (r SlippedReading) text() string {
	d := firstDigit(r.Difference.Of(r.Noise))
	number := func(x float64) string { return Number(r.Shown.Of(x), d) }
	return fmt.Sprintf("%s %s, expected %s (%s to %s), %s standard deviations off", r.Column, r.Shown.Text(r.Value),
		number(r.Expected.Median), number(r.Expected.Low), number(r.Expected.High), Number(math.Abs(r.Off), 0))
}

// Text names the row, the columns, what stands there and what was to be expected, and asks.
func (s CalibrationSlip) Text() string {
	var readings, settings []string
	for _, r := range s.Readings {
		readings = append(readings, r.text())
	}
	text := fmt.Sprintf("line %d: %s: ", s.Line, strings.Join(readings, "; "))
	for _, c := range s.Settings {
		settings = append(settings, c.Name+" "+c.Shown.Text(c.Value))
	}
	if len(settings) == 0 {
		return text + "mistyped?"
	}
	if s.Card != "" {
		settings = append(settings, "card "+s.Card)
	}
	return fmt.Sprintf("%sis one mistyped, or what the row was read at (%s)?", text, strings.Join(settings, ", "))
}

// Names are the lines, with the column where one reading of several is meant: "line 4 (left edge), line 9".
func (s *CalibrationSlips) Names() string {
	var names []string
	for _, f := range s.Found {
		name := fmt.Sprintf("line %d", f.Line)
		if len(f.Settings) == 0 && len(f.Readings) == 1 {
			name += " (" + f.Readings[0].Column + ")"
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}

// text asks to look at the readings before anything is made of the rest; empty for none.
func (s *CalibrationSlips) text(level float64) string {
	if s == nil {
		return ""
	}
	var found []string
	for _, f := range s.Found {
		found = append(found, strings.Replace(f.Text(), "line ", "LINE ", 1))
	}
	text := fmt.Sprintf("LOOK FIRST AT %s Expected is by all other readings, with an interval of %s %%, noise included. Of tables without a slip %s in 100 at most are told so.",
		strings.Join(found, " AND AT "), Plain(100*level), Plain(100*s.Rate))
	if len(s.Without) == 0 {
		text += " Too few readings are left to do without."
	} else {
		text += " Trends and warnings may be its doing, and say what is left of them without it."
	}
	return text + " No reading is left out of any other number or of the entry; a slip is put right, or its row taken out, in the file."
}

// trend is the verdict on a trend: one that a slip may have made is not established.
func (s *CalibrationSlips) trend(t CalibrationTrend) string {
	switch {
	case s == nil && t.Flagged:
		return "TREND: " + t.Hint
	case s == nil, !t.Flagged && !t.FlaggedWithout:
		return "no trend seen"
	case t.Flagged && t.FlaggedWithout:
		return fmt.Sprintf("TREND, without %s too: %s", s.Names(), t.Hint)
	case t.FlaggedWithout:
		return fmt.Sprintf("without %s a TREND, with it none: %s", s.Names(), t.Hint)
	case t.Without == nil:
		return fmt.Sprintf("open: rests on %s", s.Names())
	}
	return fmt.Sprintf("open: no trend without %s (z %s, p %s)", s.Names(), Number(t.Without.Statistic, 1), Probability(t.Without.Probability, 0, 0))
}

// surprise is what all readings say together without slips, to go on with.
func (s *CalibrationSlips) surprise() string {
	if s == nil || s.Surprise == nil {
		return ""
	}
	return fmt.Sprintf(" Without %s: %s with %d, p %s.", s.Names(), Number(s.Surprise.Statistic, 1), s.Surprise.Freedom, Probability(s.Surprise.Probability, 0, 0))
}

// entries are those by the other readings.
func (s *CalibrationSlips) entries() *Table {
	if s == nil {
		return nil
	}
	t := newTable("entries_without", "Without "+s.Names()+", to compare", texts("key", "value"))
	for _, w := range s.Without {
		t.AddRow(w.Key, w.Entry)
	}
	return t
}

// Records are the tables for CSV, which has no sentences: what is to be looked at first is the first of them.
func (c Calibration) Records() Document {
	d := c.Document()
	if c.Slips == nil {
		return d
	}
	unit := c.Slips.Found[0].Readings[0].Shown // all that is read is of one quantity
	t := newTable("slips", "To be looked at first: mistyped?", texts("line", "column"), numbers(unit.Head("read"), unit.Head("expected"), "low", "high", "standard deviations off", "p"))
	for _, f := range c.Slips.Found {
		for _, r := range f.Readings {
			low, median, high := r.Expected.cells(r.Shown)
			t.AddRow(fmt.Sprint(f.Line), r.Column, Plain(r.Shown.Of(r.Value)), median, low, high, Number(r.Off, 0), Probability(f.P, 0, 0))
		}
	}
	d.Blocks = append([]Block{t}, d.Blocks...)
	return d
}
