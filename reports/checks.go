package reports

import (
	"fmt"
	"math"
	"strings"

	"clampodds/reports/outside"
)

// Validation is the outside checks of this build.
type Validation struct{ outside.Table }

// howToRead stands above the checks.
var howToRead = List{
	"Agrees: the value obtained lies inside what the source, or the sampling of the check, leaves open.",
	"Differs: it does not, and the row says why. A study that leans on that part of the model should give the model's own error (contact.factor, contact.face_factor) room for it.",
	"Not computed: a row of a table that is used, for which the tool has no gas or no material.",
	"The tests hold every value obtained to the six digits shown, so any change of the program that moves one fails until it is looked at. A value that differs is held as well to a factor that it may not exceed (no worse than).",
}

// Document draws the checks: how many, the misses, then all of them.
func (v Validation) Document() Document {
	d := Document{Title: "Outside checks"}
	d.Add(Paragraph("Every outside check of this version: the value a source gives and the value obtained."), howToRead, v.Summary(), v.Misses())
	for _, s := range v.Sections {
		t := checkTable("checks", "")
		for _, c := range s.Checks {
			t.AddRow(checkCells(c)...)
		}
		d.Add(Heading(s.Name), t)
	}
	return d
}

// Summary counts the checks of each part of the model.
func (v Validation) Summary() *Table {
	kinds := []outside.Agreement{outside.Agrees, outside.Differs, outside.NotComputed}
	t := newTable("validation", "Outside checks by part of the model", texts("part"), numbers("checks"))
	for _, kind := range kinds {
		t.Columns = append(t.Columns, numbers(string(kind))...)
	}
	for _, s := range v.Sections {
		row := []string{s.Name, fmt.Sprint(len(s.Checks))}
		for _, kind := range kinds {
			row = append(row, fmt.Sprint(s.Count(kind)))
		}
		t.AddRow(row...)
	}
	return t
}

// Brief counts the checks of the parts that differ somewhere, and all others together.
func (v Validation) Brief() *Table {
	whole := v.Summary()
	t := &Table{Key: "validation_brief", Caption: whole.Caption, Columns: whole.Columns}
	agree, parts := 0, 0
	for i, s := range v.Sections {
		if s.Count(outside.Agrees) == len(s.Checks) {
			agree, parts = agree+len(s.Checks), parts+1
			continue
		}
		t.AddRow(whole.Rows[i]...)
	}
	if parts > 0 {
		t.AddRow(fmt.Sprintf("%d other parts", parts), fmt.Sprint(agree), fmt.Sprint(agree), "0", "0")
	}
	for _, s := range v.Sections {
		if n := s.Count(outside.Differs); n > 0 {
			t.note(fmt.Sprintf("%s, the %d that differ: %s", s.Name, n, whyDiffer[s.Name]))
		}
	}
	return t
}

// whyDiffer has the reasons of the checks of a part that differ in a sentence; each has its own in the files.
var whyDiffer = map[string]string{
	"Contact conductance and gas": "sources seldom state flatness, finish and pressure of their specimens, so that a check has to guess them. Computed flat, a face conducts more than most of these did, which is not the cautious side; with a crown of 10 um mostly less. Most lie between the two; contact.factor is the room that a study keeps for it.",
	"Card joint":                  "rules of practice are of clamps whose finish and pressure nobody states: there altitude costs more, and a four-face clamp gains less, than here, neither the cautious side. A flange counts as the first term of a fin, the cautious side.",
	"Materials":                   "handbook conductivities, up to 8 % above a fit of measurements, not the cautious side; a spread of conductivity covers that.",
	"Examples":                    "their faces are finer than those of the clamps behind the rules of practice, so that the direct face takes more of the heat.",
}

// Misses lists the checks that differ.
func (v Validation) Misses() *Table {
	t := checkTable("misses", "Where this version differs from the source")
	t.Columns = append(t.Columns, numbers("no worse than")...)
	t.Notes = []string{"ratio: obtained over expected, or over the nearer end of a range. no worse than: the factor, up or down, that the tests hold the miss to."}
	for _, s := range v.Sections {
		for _, c := range s.Checks {
			if c.Agreement == outside.Differs {
				t.AddRow(append(checkCells(c), Plain(c.NoWorse))...)
			}
		}
	}
	return t
}

// Records are the checks in one table, a field in each column, for programs.
func (v Validation) Records() Document {
	t := newTable("validation", "Outside checks",
		texts("part", "check", "source", "standing", "unit"), numbers("expected low", "expected high", "obtained", "ratio"), texts("tolerance", "verdict", "why"), numbers("no worse than"))
	for _, s := range v.Sections {
		for _, c := range s.Checks {
			worse := ""
			if c.NoWorse != 0 {
				worse = Plain(c.NoWorse)
			}
			t.AddRow(s.Name, c.Name, c.Source, string(c.Standing), c.Unit, Plain(c.Low), Plain(c.High), obtainedText(c), ratioText(c), c.Tolerance, string(c.Agreement), c.Why, worse)
		}
	}
	d := Document{Title: "Outside checks"}
	d.Add(t)
	return d
}

func checkTable(key, caption string) *Table {
	return newTable(key, caption, texts("check"), numbers("expected", "obtained", "ratio"), texts("verdict", "source"))
}

func checkCells(c outside.Check) []string {
	expected := Plain(c.Low)
	if c.High != c.Low {
		expected += " to " + Plain(c.High)
	}
	unit := Unit{Label: c.Unit}
	source := fmt.Sprintf("%s (%s)", c.Source, c.Standing)
	if strings.HasPrefix(string(c.Standing), c.Source) { // common practice
		source = string(c.Standing)
	}
	return []string{unit.Head(c.Name), expected, obtainedText(c), ratioText(c), verdictText(c), source}
}

func obtainedText(c outside.Check) string {
	if c.Obtained == nil {
		return ""
	}
	return Plain(*c.Obtained)
}

// ratioText has four digits; it is empty where there is no ratio.
func ratioText(c outside.Check) string {
	r := c.Ratio()
	if math.IsNaN(r) {
		return ""
	}
	return fmt.Sprintf("%.4g", r)
}

// verdictText is the verdict in a sentence, with its reason.
func verdictText(c outside.Check) string {
	text := string(c.Agreement)
	switch {
	case c.Agreement == outside.Agrees && c.Low != c.High:
		text += " with the range"
	case c.Agreement == outside.Agrees:
		text += " within " + c.Tolerance
	}
	if c.Why != "" {
		text += ": " + c.Why
	}
	return text
}
