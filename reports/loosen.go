package reports

import (
	"fmt"
	"slices"
	"strings"
)

// LoosenSchema names the form of the JSON of loosened tolerances.
const LoosenSchema = "clampodds.loosen/1"

// Loosen says how far each tolerance may go.
type Loosen struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Verdict is yes, no or undecided: is every limit met as written? Needed is
	// the number of cards that would decide at the rates seen; 0 when decided.
	Verdict string `json:"verdict"`
	Needed  int64  `json:"samples_that_would_decide"`
	// Answer is the verdict in a sentence.
	Answer       string              `json:"answer"`
	Requirements []LoosenRequirement `json:"requirements"`
	Tolerances   []Tolerance         `json:"tolerances"`
	Cheapest     *CheapestTolerances `json:"cheapest,omitempty"`
	Knowledge    []string            `json:"lack_of_knowledge"` // inputs left as written
	Evaluations  int                 `json:"designs_evaluated"`
}

// LoosenRequirement is a limit with how it fares as written.
type LoosenRequirement struct {
	Name      string   `json:"name"`
	Label     string   `json:"label"`
	LimitText string   `json:"limit"`
	Target    float64  `json:"target"`
	PerCard   Estimate `json:"per_card"`
	Verdict   string   `json:"verdict"`
	// Provable is false for a target too strict for these samples; Needed is what
	// would decide.
	Provable bool  `json:"provable"`
	Needed   int64 `json:"samples_that_would_decide"`
}

// Tolerance is one tolerance moved along one axis.
type Tolerance struct {
	Input string `json:"input"`
	// Kind is spread, size, limits or mean. Positions are factors, of a mean they
	// are shifts in Unit.
	Kind string `json:"kind"`
	Unit string `json:"unit"`
	Now  string `json:"now"`
	// Ends has the upper end, of a mean also the lower.
	Ends []ToleranceEnd `json:"ends"`
}

// ToleranceEnd is the end of what a tolerance may be, all others as written.
type ToleranceEnd struct {
	// Direction is up or down.
	Direction string   `json:"direction"`
	Estimate  Position `json:"estimate"`
	Proven    Position `json:"proven"`
	Possible  Position `json:"missed_from"`
	// Becomes is the tolerance at the estimate, Proven and Possible of a mean in
	// words.
	Becomes   string `json:"becomes,omitempty"`
	RangeText string `json:"-"`
	// First is the limit that is missed first, by its name in the study.
	First string `json:"first_missed,omitempty"`
	// Verdict is yes, no or undecided: may it be loosened at all?
	Verdict string `json:"loosen"`
}

// Position is a place on the axis: found there, open (met as far as was
// looked) or never (missed wherever was looked).
type Position struct {
	State string   `json:"state"`
	At    *float64 `json:"at,omitempty"`
}

// CheapestTolerances is the set of tolerances that costs least.
type CheapestTolerances struct {
	// Verdict is yes, no or undecided: does a set on offer meet every limit?
	Verdict   string              `json:"verdict"`
	Answer    string              `json:"answer"`
	Steps     []CheapestStep      `json:"steps,omitempty"`
	Cost      float64             `json:"cost"`
	Fresh     []LoosenRequirement `json:"on_fresh_draws,omitempty"`
	Seed      uint64              `json:"fresh_seed"`
	Cheaper   []CheapestStep      `json:"cheaper_undecided,omitempty"`
	Sets      int                 `json:"sets"`
	Evaluated int                 `json:"sets_evaluated"`
}

// CheapestStep is the tolerance taken of one input.
type CheapestStep struct {
	Input   string  `json:"input"`
	Factor  float64 `json:"factor"`
	Becomes string  `json:"becomes"`
	Label   string  `json:"label,omitempty"`
	Cost    float64 `json:"cost"`
}

// Document draws the answer for people.
func (r Loosen) Document() Document {
	d := Document{Title: r.Provenance.Title}
	d.Add(Paragraph(r.Answer))
	d.Add(requirementsAsWritten("requirements", "Limits as written", r.Requirements))
	if t := r.spreads(); t != nil {
		d.Add(t)
	}
	if t := r.means(); t != nil {
		d.Add(t)
	}
	if r.Cheapest != nil {
		d.Add(r.Cheapest.blocks()...)
	}
	d.Add(Heading("What this rests on"), List{
		r.Provenance.judged(),
		"Each tolerance is moved alone, all others stay as written. Spread grows about the mean with the limits it is cut at; a deviation from zero (size) grows as a whole.",
		"Every position is judged on the same draws. The true end lies between the two ends of its interval with the confidence of the run; it covers the noise of the sampling, not the model.",
		"A roughness is rms, whatever the study's are.",
		"Draws beyond the allowed range of an input are moved to its end, as everywhere.",
		"Probabilities are for one card; every card is drawn in a chassis of its own.",
		"Lack of knowledge and model error are no tolerances and stay as written: " + strings.Join(r.Knowledge, ", ") + ".",
	})
	d.Add(r.Provenance.Table(), Heading("Cautions"), Cautions)
	return d
}

func requirementsAsWritten(key, caption string, list []LoosenRequirement) *Table {
	t := &Table{Key: key, Caption: caption, Columns: []Column{
		{Head: "requirement"}, {Head: "limit", Number: true}, {Head: "probability", Number: true}, {Head: "low", Number: true}, {Head: "high", Number: true}, {Head: "target", Number: true}, {Head: "verdict"}, {Head: "decided by", Number: true},
	}}
	strict := anyStrict(list)
	for _, q := range list {
		needed := ""
		if q.Needed > 0 {
			needed = Samples(q.Needed) + " cards"
		}
		verdict := q.Verdict
		if !q.Provable {
			verdict += "*"
		}
		t.AddRow(append(append([]string{q.Label, q.LimitText}, probabilityCells(q.PerCard)...), ExactProbability(q.Target), verdict, needed)...)
	}
	t.dropEmpty()
	if strict {
		t.Notes = append(t.Notes, "* too strict a target for these samples to show: such a limit ends a tolerance where it is seen missed; that it is met before is not proven.")
	}
	return t
}

// anyStrict reports whether a target is too strict for the samples.
func anyStrict(list []LoosenRequirement) bool {
	return slices.ContainsFunc(list, func(q LoosenRequirement) bool { return !q.Provable })
}

// mayLoosen is the verdict on one tolerance, with the mark of limits that are
// not proven.
func (r Loosen) mayLoosen(e ToleranceEnd) string {
	if e.Verdict == "yes" && anyStrict(r.Requirements) {
		return "yes*"
	}
	return e.Verdict
}

// dropEmpty leaves out the last column when nothing stands in it.
func (t *Table) dropEmpty() {
	last := len(t.Columns) - 1
	for _, row := range t.Rows {
		if row[last] != "" {
			return
		}
	}
	t.Columns = t.Columns[:last]
	for i := range t.Rows {
		t.Rows[i] = t.Rows[i][:last]
	}
}

// Samples prints a number of samples that is known to two digits.
func Samples(n int64) string {
	if n >= 1<<50 {
		return "no number in reach"
	}
	return fmt.Sprintf("%.2g", float64(n))
}

// wrapped puts a list of names behind a text, in lines of a readable length.
func wrapped(text string, names []string) []string {
	const most = 300
	var lines []string
	line := ""
	for _, name := range names {
		if len(line)+len(name) > most {
			lines = append(lines, text+line+".")
			line = ""
		}
		if line != "" {
			line += ", "
		}
		line += name
	}
	if line == "" {
		return lines
	}
	return append(lines, text+line+".")
}

// spreads lists the factors, those with no end in a note.
func (r Loosen) spreads() *Table {
	t := &Table{Key: "spreads", Caption: "How far each spread may go, all others as written", Columns: []Column{
		{Head: "tolerance"}, {Head: "now"}, {Head: "may become"}, {Head: "factor", Number: true}, {Head: "interval", Number: true}, {Head: "loosen"}, {Head: "first missed"},
	}}
	var free []string
	any := false
	for _, m := range r.Tolerances {
		if m.Kind == "mean" {
			continue
		}
		any = true
		name := m.Input
		if m.Kind == "limits" {
			name += " (limits alone)"
		}
		end := m.Ends[0]
		if end.Proven.State == "open" {
			free = append(free, name)
			continue
		}
		t.AddRow(name, m.Now, end.Becomes, end.Estimate.factor(), end.Proven.factor()+" … "+end.Possible.factor(), r.mayLoosen(end), limitName(end.First))
	}
	if !any {
		return nil
	}
	t.Notes = append(t.Notes, "interval: shown to be met up to … shown to be missed from.")
	t.Notes = append(t.Notes, wrapped("May grow 4-fold without a miss: ", free)...)
	return t
}

// limitName is the name of a limit in few letters.
func limitName(name string) string { return strings.TrimPrefix(name, "component.") }

// factor prints a position that is a factor.
func (p Position) factor() string {
	switch p.State {
	case "open":
		return "> 4"
	case "never":
		return "none"
	}
	return Number(*p.At, 2)
}

// means lists the shifts, those without an end in a note.
func (r Loosen) means() *Table {
	t := &Table{Key: "means", Caption: "How far each mean may move, all others as written", Columns: []Column{
		{Head: "tolerance"}, {Head: "mean now", Number: true}, {Head: "way"}, {Head: "to", Number: true}, {Head: "interval", Number: true}, {Head: "loosen"}, {Head: "first missed"},
	}}
	var free []string
	any := false
	for _, m := range r.Tolerances {
		if m.Kind != "mean" {
			continue
		}
		any = true
		shown := false
		for _, end := range m.Ends {
			if end.Proven.State == "open" {
				continue
			}
			t.AddRow(m.Input, m.Now, end.way(), end.Becomes, end.RangeText, r.mayLoosen(end), limitName(end.First))
			shown = true
		}
		if !shown {
			free = append(free, m.Input)
		}
	}
	if !any {
		return nil
	}
	t.Notes = append(t.Notes, "interval: shown to be met up to … shown to be missed from. A direction that is not listed is met as far as 6 standard deviations.")
	t.Notes = append(t.Notes, wrapped("Met 6 standard deviations either way: ", free)...)
	return t
}

// way says which way the mean may go, or has to.
func (e ToleranceEnd) way() string {
	up := e.Direction == "up"
	switch at := e.Estimate.At; {
	case e.Estimate.State == "never":
		return "neither"
	case at != nil && up && *at < 0:
		return "has to fall"
	case at != nil && !up && *at > 0:
		return "has to rise"
	case up:
		return "may rise"
	}
	return "may fall"
}

func (c CheapestTolerances) blocks() []Block {
	blocks := []Block{Heading("Cheapest set of tolerances"), Paragraph(c.Answer)}
	if len(c.Steps) > 0 {
		blocks = append(blocks, c.steps("cheapest", "The set", c.Steps),
			requirementsAsWritten("cheapest_requirements", "The set judged again on fresh draws", c.Fresh))
	}
	if len(c.Cheaper) > 0 {
		blocks = append(blocks, c.steps("cheaper_undecided", "Cheaper, not decided by these samples", c.Cheaper))
	}
	return blocks
}

func (c CheapestTolerances) steps(key, caption string, steps []CheapestStep) *Table {
	t := &Table{Key: key, Caption: caption, Columns: []Column{
		{Head: "tolerance"}, {Head: "factor", Number: true}, {Head: "becomes"}, {Head: "as"}, {Head: "cost", Number: true},
	}}
	total := 0.0
	for _, s := range steps {
		total += s.Cost
		t.AddRow(s.Input, Plain(s.Factor), s.Becomes, s.Label, Plain(s.Cost))
	}
	t.AddRow("in all", "", "", "", Plain(total))
	return t
}
