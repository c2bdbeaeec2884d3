package reports

import (
	"fmt"
	"math"
	"strings"
)

// ChangeSchema names the form of the JSON of a change.
const ChangeSchema = "clampodds.change/1"

// Change is the answer to "is the change safe?". Numbers are in SI units.
type Change struct {
	Schema string `json:"schema"`
	// Provenance is that of the run and of the study before; After names the
	// other study.
	Provenance Provenance `json:"provenance"`
	After      Named      `json:"after"`
	// Verdict is "safe", "not safe" or "undecided".
	Verdict string `json:"verdict"`
	// DifferenceVerdict is that of the differences of the studies as written alone. The
	// decisions are those on each design, in every condition; null when the studies are
	// the same in every input.
	DifferenceVerdict string    `json:"difference_verdict"`
	BeforeDecision    *Decision `json:"before_decision"`
	AfterDecision     *Decision `json:"after_decision"`
	// Margin is the margin in words, MarginKind "absolute", "relative" or "target".
	Margin       string              `json:"margin"`
	MarginKind   string              `json:"margin_kind"`
	MarginValue  float64             `json:"margin_value"`
	Differences  []StudyDifference   `json:"differences"`
	Requirements []ChangeRequirement `json:"requirements"`
	Shifts       []Shift             `json:"shifts"`
	// Steps has the differences one at a time; NotAlone says why there are none.
	Steps    []ChangeStep `json:"steps"`
	NotAlone string       `json:"not_taken_apart,omitempty"`
	// Deciding is the position of the requirement that decides the verdict.
	Deciding int       `json:"deciding_requirement"`
	Warnings []Warning `json:"warnings,omitempty"`
	// Distribution of the temperature limited first, after the change; nil where no
	// card is clamped.
	Distribution *Figure `json:"-"`
}

// Named is a study by its file, title and digest.
type Named struct {
	Study  string `json:"study"`
	Title  string `json:"title"`
	Digest string `json:"digest_sha256"`
}

// StudyDifference is one thing in which two studies differ.
type StudyDifference struct {
	Key     string `json:"key"`
	Meaning string `json:"meaning"`
	Before  string `json:"before"`
	After   string `json:"after"`
}

// ChangeRequirement is what the change does to one requirement, for one card.
type ChangeRequirement struct {
	Name   string   `json:"name"`
	Label  string   `json:"label"`
	Limit  float64  `json:"limit"`
	Unit   string   `json:"unit"`
	Shown  Unit     `json:"-"`
	Target float64  `json:"target"` // 0 without
	Before Estimate `json:"before"`
	After  Estimate `json:"after"`
	Difference
	// Untouched: the same in every card.
	Untouched bool   `json:"untouched"`
	Verdict   string `json:"verdict"`
	// MarginVerdict and TargetVerdict are empty where not asked.
	MarginVerdict     string  `json:"margin_verdict,omitempty"`
	TargetVerdict     string  `json:"target_verdict,omitempty"`
	NeededRows        float64 `json:"needed_cards,omitempty"` // null: out of reach
	NeededEvaluations float64 `json:"needed_evaluations,omitempty"`
	Narrower          float64 `json:"times_narrower"`
}

// ChangeStep is one difference by itself; Difference and Shifts are those of the
// deciding requirement.
type ChangeStep struct {
	Key         string       `json:"key"`
	Differences []Difference `json:"differences"`
	Shifts      []Shift      `json:"shifts"`
}

// Document draws the answer for people, the verdict first.
func (c Change) Document() Document {
	d := Document{Title: fmt.Sprintf("Is the change safe? %s → %s", c.Provenance.Study, c.After.Study)}
	d.Add(c.answer()...)
	for _, p := range []string{c.why(), c.mattersMost(), c.needed(), c.basis()} {
		if p != "" {
			d.Add(Paragraph(p))
		}
	}
	if len(c.Differences) > 0 {
		list := List{}
		for _, difference := range c.Differences {
			list = append(list, fmt.Sprintf("%s (%s): %s → %s", difference.Key, difference.Meaning, difference.Before, difference.After))
		}
		d.Add(Heading("What differs"), list)
	}
	if c.Distribution != nil {
		d.Add(c.Distribution)
	}
	d.Add(c.requirements())
	d.Add(c.AfterDecision.needed()...)
	if moved := movedShifts(c.Shifts); len(moved) > 0 {
		d.Add(shiftTable(moved, "before", "after"))
	}
	if len(c.Steps) > 0 {
		d.Add(c.steps())
	} else if c.NotAlone != "" {
		d.Add(Paragraph(c.NotAlone))
	}
	d.Add(warningBlocks(c.Warnings)...)
	d.Add(c.provenance(), Heading("Cautions"), Cautions)
	return d
}

// Records draws the answer for programs: every table in full.
func (c Change) Records() Document {
	d := Document{Title: "change"}
	d.Add(c.verdict(), c.differences(), c.requirements(), shiftTable(c.Shifts, "before", "after"))
	if len(c.Steps) > 0 {
		d.Add(c.steps())
	}
	d.Add(c.provenance())
	return d
}

func (c Change) verdict() *Table {
	t := &Table{Key: "verdict", Columns: []Column{{Head: "verdict"}, {Head: "margin"}, {Head: "deciding requirement"}}}
	t.AddRow(c.Verdict, c.Margin, c.Requirements[c.Deciding].Name)
	return t
}

func (c Change) provenance() *Table {
	t := c.Provenance.Table()
	t.AddRow("study after", c.After.Study)
	t.AddRow("its digest (SHA-256)", c.After.Digest)
	return t
}

// movedShifts leaves out the quantities that are the same in every card.
func movedShifts(shifts []Shift) (moved []Shift) {
	for _, s := range shifts {
		if s.Value != 0 || s.Low != 0 || s.High != 0 {
			moved = append(moved, s)
		}
	}
	return moved
}

func (c Change) headline() string {
	if len(c.Differences) == 0 {
		return "SAFE: the two studies are the same in every input; the difference is exactly 0."
	}
	if c.Verdict != c.DifferenceVerdict {
		return fmt.Sprintf("%s: the difference by itself is %s, but after the change a target is %s.", strings.ToUpper(c.Verdict), c.DifferenceVerdict, c.AfterDecision.Verdict)
	}
	return c.difference()
}

// answer is the headline with what stands behind it; that the design before the change misses a
// target already comes first.
func (c Change) answer() (parts []Block) {
	if c.BeforeDecision != nil && c.BeforeDecision.Verdict == "not met" {
		parts = append(parts, Paragraph("The design before the change misses a target already: "+c.BeforeDecision.reason()))
	}
	parts = append(parts, Paragraph(c.headline()))
	if c.Verdict != c.DifferenceVerdict {
		parts = append(parts, Paragraph("After it: "+c.AfterDecision.reason()), Paragraph("The difference: "+c.difference()))
	}
	return parts
}

// difference is what the change does, as written.
func (c Change) difference() string {
	q := c.Requirements[c.Deciding]
	text := strings.ToUpper(c.DifferenceVerdict) + ": " + q.Label + " above " + q.Shown.Text(q.Limit)
	if q.Untouched {
		return text + " is not touched by the change, nor is any other requirement that decides."
	}
	return fmt.Sprintf("%s: per card %s before, %s after. On draws common to both the change is %s, each end at %s %%.",
		text, inSentence(q.Before), inSentence(q.After), q.intervalText(), Plain(100*q.Level))
}

// why says which condition decided.
func (c Change) why() string {
	if len(c.Differences) == 0 {
		return ""
	}
	q := c.Requirements[c.Deciding]
	var parts []string
	if q.MarginVerdict != "" && !q.Untouched {
		parts = append(parts, fmt.Sprintf("Margin %s: %s.", c.Margin, q.MarginVerdict))
	}
	if q.TargetVerdict != "" {
		parts = append(parts, fmt.Sprintf("Target %s after the change: %s.", Probability(q.Target, 0, 0), targetWords[q.TargetVerdict]))
	}
	return strings.Join(parts, " ")
}

var targetWords = map[string]string{"safe": "met", "not safe": "not met", "undecided": "undecided"}

// mattersMost names the difference that the verdict rests on.
func (c Change) mattersMost() string {
	if len(c.Differences) == 0 {
		return ""
	}
	if len(c.Differences) == 1 {
		return fmt.Sprintf("It rests on one difference: %s.", c.Differences[0].words())
	}
	best, largest := -1, 0.0
	for i, s := range c.Steps {
		if size := math.Abs(s.Differences[c.Deciding].Value); size > largest {
			best, largest = i, size
		}
	}
	if best < 0 {
		return ""
	}
	for _, d := range c.Differences {
		if d.Key == c.Steps[best].Key {
			return fmt.Sprintf("It rests most on %s.", d.words())
		}
	}
	return fmt.Sprintf("It rests most on %s.", c.Steps[best].Key)
}

func (d StudyDifference) words() string {
	return fmt.Sprintf("%s (%s), %s in place of %s", d.Key, d.Meaning, d.After, d.Before)
}

// needed says what would decide.
func (c Change) needed() string {
	if c.DifferenceVerdict != "undecided" {
		return ""
	}
	q := c.Requirements[c.Deciding]
	switch rows, evaluations := q.NeededRows, q.NeededEvaluations; {
	case c.MarginKind == "relative" && q.Before.Value == 0:
		return "It was never seen before the change: a share of that cannot be judged. Give an absolute margin, or ask for the target."
	case math.IsInf(rows, 1) || math.IsInf(evaluations, 1):
		return "It lies so near the border that no number of samples in reach would decide it."
	case rows > 0:
		return fmt.Sprintf("About %s cards would decide it (--samples), if the rates stay as observed.", Plain(roundUp(rows)))
	case evaluations > 0:
		return fmt.Sprintf("About %s model evaluations would decide it (--evaluations), if the rates stay as observed.", Plain(roundUp(evaluations)))
	}
	return ""
}

// roundUp rounds up to two digits.
func roundUp(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x))-1)
	return math.Ceil(x/power) * power
}

// basis says what the numbers rest on.
func (c Change) basis() string {
	p := c.Provenance
	return fmt.Sprintf("%d cards in %d chassis; both designs on the same draws. What the two studies share, "+
		"its assumptions included, is taken as right for both.", p.Samples, p.Chassis)
}

func (c Change) differences() *Table {
	t := &Table{Key: "differences", Caption: "What differs between the two studies", Columns: []Column{{Head: "key"}, {Head: "what it is"}, {Head: "before"}, {Head: "after"}}}
	for _, d := range c.Differences {
		t.AddRow(d.Key, d.Meaning, d.Before, d.After)
	}
	return t
}

func (c Change) requirements() *Table {
	t := &Table{
		Key: "requirements", Caption: "Probability of exceeding each limit, per card",
		Columns: []Column{{Head: "requirement"}, {Head: "limit", Number: true}, {Head: "before", Number: true}, {Head: "after", Number: true}, {Head: "change", Number: true}, {Head: "low", Number: true}, {Head: "high", Number: true}, {Head: "narrower", Number: true}, {Head: "verdict"}},
		Notes: []string{
			fmt.Sprintf("low, high: bounds of the change, each at %s %%; without a mark from paired counts (score bounds). "+
				"narrower: how many times as wide the interval would be with as many independent draws.", Plain(100*c.Provenance.Confidence)),
		},
	}
	if c.BeforeDecision != nil {
		t.Notes = append(t.Notes, "before, after: the numbers of record, those of run on either study. change: from draws common to both, more closely, so that it differs from after less before.")
	}
	untouched, tail, rows := false, false, int64(0)
	for _, q := range c.Requirements {
		verdict := q.Verdict
		switch {
		case q.Untouched:
			verdict += " *"
			untouched = true
		case q.Tail:
			verdict += " †"
			tail = true
		case q.Rows > 0:
			verdict += " ‡"
			rows = max(rows, q.Rows)
		}
		t.AddRow(append(append([]string{q.Label, q.Shown.Text(q.Limit), estimateText(q.Before), estimateText(q.After)}, q.cells()...), timesNarrower(q.Narrower), verdict)...)
	}
	if untouched {
		t.Notes = append(t.Notes, "* not touched: the same number in every card of both designs.")
	}
	if tail {
		t.Notes = append(t.Notes, "† by the tail methods.")
	}
	if rows > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("‡ from up to %d cards of each design, drawn along the rise of the quantity to where the limit is exceeded, the same for both.", rows))
	}
	return t
}

// shiftTable has the differences of statistics; without names of the two designs
// the differences alone.
func shiftTable(shifts []Shift, designs ...string) *Table {
	t := &Table{Key: "shifts", Caption: "Change of each quantity", Columns: []Column{{Head: "quantity"}, {Head: "statistic"}}}
	for _, name := range append(designs, "change", "low", "high", "narrower") {
		t.Columns = append(t.Columns, Column{Head: name, Number: true})
	}
	last := ""
	for _, s := range shifts {
		row := []string{s.Shown.Head(s.Label), s.Statistic}
		if row[0] == last {
			row[0] = ""
		} else {
			last = row[0]
		}
		if len(designs) > 0 {
			row = append(row, s.statistics()...)
		}
		t.AddRow(append(append(row, s.cells()...), timesNarrower(s.Narrower))...)
	}
	if len(shifts) > 0 {
		t.Notes = []string{fmt.Sprintf("Interval of the change at %s %%: Student's t on %d independent parts of the run, each on common draws. "+
			"Quantities that are the same in every card are left out.", Plain(100*shifts[0].Level), shifts[0].Replicates)}
	}
	return t
}

// stepStatistics are shown of each step.
var stepStatistics = []string{"mean", "P99"}

func (c Change) steps() *Table {
	q := c.Requirements[c.Deciding]
	t := &Table{
		Key: "steps", Caption: fmt.Sprintf("Which difference matters: %s above %s, one difference at a time", q.Label, q.Shown.Text(q.Limit)),
		Columns: []Column{{Head: "difference"}, {Head: "change of probability", Number: true}, {Head: "low", Number: true}, {Head: "high", Number: true}},
	}
	all := ChangeStep{Key: "all together", Shifts: c.Shifts}
	for _, q := range c.Requirements {
		all.Differences = append(all.Differences, q.Difference)
	}
	unit := ""
	for _, s := range c.Shifts {
		if s.Label == q.Label {
			unit = s.Step.Label
		}
	}
	for _, name := range stepStatistics {
		t.Columns = append(t.Columns, Column{Head: Unit{Label: unit}.Head("change of " + name), Number: true})
	}
	for _, s := range append(c.Steps, all) {
		row := append([]string{s.Key}, s.Differences[c.Deciding].cells()...)
		for _, name := range stepStatistics {
			row = append(row, s.shift(q.Label, name))
		}
		t.AddRow(row...)
	}
	return t
}

// shift prints the change of one statistic.
func (s ChangeStep) shift(label, statistic string) string {
	for _, x := range s.Shifts {
		if x.Label == label && x.Statistic == statistic {
			return x.cells()[0]
		}
	}
	return ""
}
