package question

import (
	"fmt"
	"slices"
	"strings"

	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/calibrate"
)

// Verdict is undecided while a slip stands: what the readings say, and what goes into a study, hangs on it. Without one nothing is
// judged.
func (c *Calibrated) Verdict() sim.Verdict {
	if len(c.slips) > 0 {
		return sim.Undecided
	}
	return sim.NoTarget
}

// slipped are the slips with the rows that they are in; nil where there are none.
func (c *Calibrated) slipped() *reports.CalibrationSlips {
	if len(c.slips) == 0 {
		return nil
	}
	t, scale := c.table, &c.wired.Scale
	s := &reports.CalibrationSlips{Rate: calibrate.SlipLevel}
	for _, slip := range c.slips {
		row := slip.Observations[0] / len(t.Read)
		one := reports.CalibrationSlip{Line: t.Lines[row], Card: t.Cards[t.Card[row]], P: slip.Probability}
		for i, o := range slip.Observations {
			q := t.Read[o%len(t.Read)]
			e := slip.Expected[i]
			low, high := scale.From(row, e.Low), scale.From(row, e.High)
			r := reports.SlippedReading{
				Column: q.Header, Unit: string(q.Quantity), Shown: ShownUnit(q.Values[0], string(q.Quantity), q.Unit), Value: q.Values[row],
				Expected: reports.CalibrationRange{Median: scale.From(row, e.Median), Interval: reports.Interval{Low: low, High: high}},
				Noise:    t.Noise[row], Difference: ShownUnit(t.Noise[row], string(q.Quantity.Difference()), q.Unit),
			}
			r.Off = (r.Value - r.Expected.Median) / (high - low) * 2 * dist.NormalQuantile((1+c.wired.Problem.Confidence)/2)
			one.Readings = append(one.Readings, r)
		}
		if len(slip.Observations) > 1 || len(t.Read) == 1 { // what the row was read at may be off as well
			one.Settings = c.conditions(row)
		}
		s.Found = append(s.Found, one)
	}
	return s
}

// conditions are those of a row.
func (c *Calibrated) conditions(row int) (list []reports.NamedValue) {
	for _, q := range c.table.Set {
		list = append(list, reports.NamedValue{
			Name: q.Key, Unit: string(q.Quantity), Value: q.Values[row], Shown: ShownUnit(q.Values[0], string(q.Quantity), q.Unit),
		})
	}
	return list
}

// ofSlips says in the source of an entry which rows it holds that are to be looked at.
func (c *Calibrated) ofSlips() string {
	if len(c.slips) == 0 {
		return ""
	}
	return ", " + c.slipped().Names() + " to be looked at first"
}

// besideSlips adds what the readings say without the slips, and says of each trend and warning whether it is left then.
func (c *Calibrated) besideSlips(r *reports.Calibration) {
	s := c.slipped()
	if s == nil {
		return
	}
	r.Slips = s
	if c.without != nil {
		c.withoutSlips(r)
	}
	for i := len(s.Found) - 1; i >= 0; i-- {
		r.Warnings = append([]reports.Warning{{Code: calibrate.SlipSeen, Text: "look first at " + s.Found[i].Text()}}, r.Warnings...)
	}
}

func (c *Calibrated) withoutSlips(r *reports.Calibration) {
	s, lines, without := r.Slips, r.Slips.Names(), c.without
	warnings := without.Warnings
	for i, m := range without.Marginals {
		n := newNarrowed(c.inputs[i].input, m, "")
		p := c.ranges(&n, m)
		s.Without = append(s.Without, reports.CalibratedWithout{Key: p.Key, After: p.After, Left: p.Left, Entered: p.Entered, Entry: n.entry})
		warnings = append(warnings, n.warnings(m, without.Confidence)...)
	}
	surprise := surpriseOf(without)
	s.Surprise = &surprise
	for i := range r.Trends {
		at := slices.IndexFunc(without.Trends, func(t calibrate.Trend) bool { return t.Name == r.Trends[i].Against })
		if at >= 0 {
			r.Trends[i].Without, r.Trends[i].FlaggedWithout = trendTest(without.Trends[at]), without.Trends[at].Flagged
		}
	}
	// Those of columns not used are of the file, not of the readings.
	first := len(r.Warnings) - c.ofReadings
	kept := r.Warnings[:first:first]
	for _, w := range r.Warnings[first:] {
		if !slices.ContainsFunc(warnings, func(o reports.Warning) bool { return sameMatter(w, o) }) {
			w.Text = fmt.Sprintf("only with %s: %s", lines, w.Text)
		}
		kept = append(kept, w)
	}
	for _, w := range warnings {
		if !slices.ContainsFunc(r.Warnings[first:], func(o reports.Warning) bool { return sameMatter(w, o) }) {
			w.Text = fmt.Sprintf("without %s: %s", lines, w.Text)
			kept = append(kept, w)
		}
	}
	r.Warnings = kept
}

// sameMatter reports whether two warnings are of one thing: the same code, and where they begin with an input, or go on with a
// condition, the same of those. Their numbers may differ.
func sameMatter(a, b reports.Warning) bool {
	matter := func(text string) string {
		if at := strings.IndexAny(text, ":,"); at >= 0 && !strings.ContainsAny(text[:at], " ") || strings.Contains(text[:max(at, 0)], "would have to change") {
			return text[:at]
		}
		return ""
	}
	return a.Code == b.Code && matter(a.Text) == matter(b.Text)
}

// slipsRemark are the lines of comment that a study to be written begins with; empty without slips.
func (c *Calibrated) slipsRemark() string {
	s := c.Result.Slips
	if s == nil {
		return ""
	}
	var b strings.Builder
	for _, f := range s.Found {
		fmt.Fprintf(&b, "# LOOK FIRST AT %s\n", oneLine(f.Text()))
	}
	fmt.Fprintf(&b, "# What follows holds %s.", s.Names())
	if len(s.Without) > 0 {
		b.WriteString(" Without it:\n")
	} else {
		b.WriteByte('\n')
	}
	for _, w := range s.Without {
		fmt.Fprintf(&b, "# %s = %s\n", w.Key, w.Entry)
	}
	return b.String()
}
