package reports

import (
	"fmt"
	"strings"

	"clampodds/dist/fit"
)

// Slips are readings that lie too far out for the family of the others: slips of typing, perhaps. They are in every number all
// the same.
type Slips struct {
	Readings []MarkedReading `json:"readings"` // by their lines
	// Family is the one under which they lie too far out.
	Family fit.Family `json:"family"`
	// Without is the family that the others would give the study, and Entry its entry; empty where they cannot be fitted.
	Without fit.Family `json:"family_without,omitempty"`
	Entry   string     `json:"entry_without,omitempty"`
}

func (s *Slips) lines() string {
	var lines []string
	for _, r := range s.Readings {
		lines = append(lines, fmt.Sprint(r.Line))
	}
	if len(lines) == 1 {
		return "line " + lines[0]
	}
	return "lines " + strings.Join(lines, ", ")
}

func (s *Slips) values(unit string) string {
	var values []string
	for _, r := range s.Readings {
		values = append(values, Plain(r.Reading))
	}
	return strings.TrimSpace(strings.Join(values, ", ") + " " + unit)
}

// RemarkEntries has the entries say, in a comment that goes with them into a study, what they hold that is to be looked at first.
func (f *Fit) RemarkEntries() {
	var remarks []string
	if s := f.Slips; s != nil {
		remarks = append(remarks, fmt.Sprintf("%s (%s): mistyped?", s.lines(), s.values(f.Unit)))
	}
	if r := f.Repeated; r != nil {
		remarks = append(remarks, fmt.Sprintf("lines %d to %d, which repeat lines %d to %d: pasted twice?", r.Again[0], r.Again[1], r.Lines[0], r.Lines[1]))
	}
	for _, entry := range []*string{&f.Entry, &f.NewLot} {
		if *entry != "" && len(remarks) > 0 {
			*entry += " # look first at what it holds: " + strings.Join(remarks, " ")
		}
	}
}

// text asks to look at the readings before anything is made of the rest; empty for none. Family is that of all readings.
func (s *Slips) text(family, unit string) string {
	if s == nil {
		return ""
	}
	text := fmt.Sprintf("LOOK FIRST AT %s (%s): too far out for %s", strings.ToUpper(s.lines()), s.values(unit), s.Family)
	switch {
	case s.Without == "" || string(s.Without) == family:
		text += "."
	case string(s.Family) == family:
		text += fmt.Sprintf(", the family of the whole column; without %s it is %s.", s.lines(), s.Without)
	default:
		text += fmt.Sprintf(", the family of all others; with %s the column is %s.", s.lines(), family)
	}
	return text + " No reading is left out of any number or of the entry; a slip is put right, or its row taken out, in the file."
}

// Repeated is a block of readings that stands twice in the column, in the same order.
type Repeated struct {
	Readings int `json:"readings"`
	// Lines and Again are the first and the last line of either.
	Lines [2]int `json:"lines"`
	Again [2]int `json:"again"`
	// Rate is that of columns in which nothing was repeated to be told so, at most.
	Rate float64 `json:"rate"`
}

// text asks to look at them; empty for none.
func (r *Repeated) text() string {
	if r == nil {
		return ""
	}
	return fmt.Sprintf("LOOK FIRST AT LINES %d TO %d: they repeat lines %d to %d, %d readings in the same order. Were they pasted twice, or the same parts read again? Each counts as a reading of its own in every number, and in the entry. Of columns in which nothing is repeated %s in 100 at most are told so.",
		r.Again[0], r.Again[1], r.Lines[0], r.Lines[1], r.Readings, Plain(100*r.Rate))
}
