package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// CompareSchema names the form of the JSON of a comparison.
const CompareSchema = "clampodds.compare/2"

// Compare is designs side by side on common draws.
type Compare struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Verdict says whether the best design is shown to be better than all others:
	// "yes" or "undecided".
	Verdict string `json:"best_is_told_apart"`
	// By is the requirement of the ranking, in words; Condition is where it is decided, and all designs are ranked and
	// shown.
	By        string `json:"ranked_by"`
	Condition string `json:"condition"`
	// Requirement is the name of the limit.
	Requirement string `json:"-"`
	// Designs are in the order given, the first the one the others are compared
	// with; A, B, C ... name them in tables.
	Designs []CompareDesign `json:"designs"`
	Ranking []CompareRank   `json:"ranking"`
	// Others has what each design after the first changes.
	Others []CompareOther `json:"others"`
	// RestsOn is the input that matters most to the last design of the ranking.
	RestsOn  *InputShare `json:"rests_on,omitempty"`
	Warnings []Warning   `json:"warnings,omitempty"`
}

// CompareDesign is one design with its results.
type CompareDesign struct {
	Named
	Results Run `json:"results"`
	// Margin is the limit of the ranking's requirement less what is exceeded
	// with the target's probability; below 0 the target is missed.
	Margin Estimate `json:"margin"`
	Step   Unit     `json:"-"` // of the margin
}

// CompareRank is the place of a design.
type CompareRank struct {
	Design      int        `json:"design"` // its position, from 0
	Place       int        `json:"place"`
	Probability Estimate   `json:"probability"`
	Tail        bool       `json:"by_tail_methods"`
	Over        Difference `json:"over_the_one_before"`
	// Worse: it is shown to exceed more often than the first of the ranking.
	Worse bool `json:"worse_than_the_best"`
}

// CompareOther is what a design changes over the first; Differences go with the
// requirements of the designs.
type CompareOther struct {
	Differences []Difference `json:"differences"`
	Shifts      []Shift      `json:"shifts"`
	// Main are those of Shifts that people look for.
	Main []Shift `json:"-"`
}

// letter names a design in tables.
func letter(design int) string { return string(rune('A' + design)) }

// Document draws the comparison for people, the verdict first.
func (c Compare) Document() Document {
	d := c.draw(false)
	d.Title = "Which design is better?"
	return d
}

// Records draws the comparison for programs.
func (c Compare) Records() Document { return c.draw(true) }

func (c Compare) draw(long bool) Document {
	var d Document
	if !long {
		d.AddFilled(Paragraph(c.targets()))
		for i, design := range c.Designs {
			if decision := design.Results.Decision; decision != nil && decision.caution() != "" {
				d.Add(Paragraph(letter(i) + ": " + decision.caution()))
			}
		}
		d.Add(Paragraph(c.headline()+c.decidedElsewhere()), Paragraph(c.basis()))
		if c.RestsOn != nil {
			d.Add(Paragraph(fmt.Sprintf("How often %s, the last, exceeds it rests most on %s.", letter(c.Ranking[len(c.Ranking)-1].Design), c.RestsOn.words())))
		}
	}
	d.Add(c.designs(), c.ranking(), c.requirements(), c.sideBySide())
	for i, design := range c.Designs {
		if f := design.Results.Distribution; f != nil && !long {
			shown := *f
			shown.Caption += ", " + letter(i)
			d.Add(&shown)
		}
	}
	for i, o := range c.Others {
		d.Add(c.differences(i))
		t := shiftTable(movedShifts(o.Main))
		if long {
			t = shiftTable(o.Shifts, "A", letter(i+1))
		}
		t.Key, t.Caption = fmt.Sprintf("shifts_%s", letter(i+1)), fmt.Sprintf("Each quantity, %s against A", letter(i+1))
		d.Add(t)
	}
	if !long {
		d.Add(warningBlocks(c.Warnings)...)
	}
	d.Add(c.provenance())
	if !long {
		d.Add(Heading("Cautions"), Cautions)
	}
	return d
}

// targets says which designs meet theirs, and what the others are decided by; empty where none was judged.
func (c Compare) targets() string {
	var parts []string
	for _, verdict := range []string{"met", "undecided", "not met", "no target"} {
		var places []string
		designs := map[string][]string{}
		for i, design := range c.Designs {
			d := design.Results.Decision
			if d == nil || d.Verdict != verdict {
				continue
			}
			place := verdict + withCaution(d.caution())
			if verdict == "undecided" || verdict == "not met" {
				place += " (" + cmp.Or(d.NotAllowed, d.where()) + ")"
			}
			if !slices.Contains(places, place) {
				places = append(places, place)
			}
			designs[place] = append(designs[place], letter(i))
		}
		for _, place := range places {
			parts = append(parts, listOf(designs[place])+" "+place)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return fmt.Sprintf("Against their targets, in %s: %s.", c.Designs[0].Results.Decision.scope(), strings.Join(parts, "; "))
}

func (c Compare) headline() string {
	best, by := c.Ranking[0], c.By+", "+c.Condition
	text := fmt.Sprintf("%s (%s) has the least probability of %s: %s per %s", letter(best.Design), c.Designs[best.Design].Title, by, estimateText(best.Probability), per(c.Requirement))
	if d := c.Designs[best.Design].Results.Decision; d != nil && d.Requirement != "" && d.Verdict != "met" {
		text += fmt.Sprintf(" (over all its targets it is %s: %s)", d.Verdict, d.where())
	}
	next := c.Ranking[1]
	if c.Verdict == "yes" {
		return fmt.Sprintf("YES, one is better: %s. The next, %s, has %s, more by %s.", text, letter(next.Design), estimateText(next.Probability), next.Over.intervalText())
	}
	var alike []string
	for _, r := range c.Ranking[1:] {
		if !r.Worse {
			alike = append(alike, letter(r.Design))
		}
	}
	if !slices.ContainsFunc(c.Ranking, func(r CompareRank) bool { return !r.Worse && r.Probability.Value > 0 }) {
		return fmt.Sprintf("UNDECIDED: %s is not seen with any of %s: %s per %s. None can be called better by that.", by, strings.Join(append([]string{letter(best.Design)}, alike...), ", "), estimateText(best.Probability), per(c.Requirement))
	}
	return fmt.Sprintf("UNDECIDED: %s, but it cannot be told apart from %s.", text, strings.Join(alike, ", "))
}

// decidedElsewhere says in which conditions the designs are decided, where the ranking is of another.
func (c Compare) decidedElsewhere() string {
	var others []string
	for _, design := range c.Designs {
		if d := design.Results.Decision; d != nil && d.Requirement != "" && d.Condition != c.Condition && !slices.Contains(others, d.Condition) {
			others = append(others, d.Condition)
		}
	}
	if len(others) == 0 {
		return ""
	}
	return fmt.Sprintf(" Targets are decided in %s too: --condition ranks the designs there.", listOf(others))
}

func (c Compare) basis() string {
	p := c.Provenance
	return fmt.Sprintf("%s of each design, %s, the same draws for all. Intervals at %s %%.", p.sampled(), c.Condition, Plain(100*p.Confidence))
}

func (c Compare) designs() *Table {
	t := newTable("designs", "The designs", texts("design", "study", "title", "verdict", "decided by"))
	for i, d := range c.Designs {
		verdict, by := "", ""
		if decision := d.Results.Decision; decision != nil {
			verdict, by = decision.Verdict+withCaution(decision.caution()), decision.where()
		}
		t.AddRow(letter(i), d.Study, d.Title, verdict, by)
	}
	return t
}

func (c Compare) ranking() *Table {
	t := newTable("ranking", "Ranking by the probability of "+c.By+", "+c.Condition,
		numbers("place"), texts("design"), numbers("probability", "low", "high", "more than the one before", "low", "high"), texts("remark"))
	t.note("The bounds of the differences hold for all pairs of designs together, on draws common to both. place: one more than the number of designs that are shown to be better.")
	for i, r := range c.Ranking {
		over, note := []string{"", "", ""}, ""
		if i > 0 {
			over = r.Over.cells()
		}
		if i > 0 && !(r.Over.Low > 0) {
			note = "cannot be told apart from the one before"
		}
		t.AddRow(append(append(append([]string{fmt.Sprint(r.Place), letter(r.Design)}, probabilityCells(r.Probability)...), over...), note)...)
	}
	t.dropEmpty("remark")
	return t
}

// columns are one for each design behind some heads.
func (c Compare) columns(heads ...string) []Column {
	columns := texts(heads...)
	for i := range c.Designs {
		columns = append(columns, numbers(letter(i))...)
	}
	return columns
}

func (c Compare) requirements() *Table {
	t := newTable("requirements", "Probability of exceeding each limit, "+c.Condition+", per card, with the verdict on its target", c.columns("requirement", "limit", "target"))
	for i, q := range c.Designs[0].Results.Requirements {
		row := []string{q.Label, q.Shown.Text(q.Limit), targetText(q.Target)}
		for _, d := range c.Designs {
			r := d.Results.Requirements[i]
			row = append(row, estimateText(r.PerCard)+" "+r.Verdict)
		}
		t.AddRow(row...)
	}
	return t
}

// sideBySide has the quantities of all designs.
func (c Compare) sideBySide() *Table {
	t := newTable("side_by_side", "Side by side, "+c.Condition, c.columns("quantity", "statistic"))
	t.note("margin: the limit less what is exceeded with the target's probability; below 0 the target is missed.")
	margin := []string{c.Designs[0].Step.Head("margin: " + c.By), "estimate"}
	for _, d := range c.Designs {
		margin = append(margin, estimateCells(d.Margin, d.Step)[0])
	}
	for _, section := range []struct {
		of          func(Run) []Quantity
		percentiles []float64
	}{
		{func(r Run) []Quantity { return r.Temperatures }, []float64{0.5, 0.95, 0.99}},
		{func(r Run) []Quantity { return r.HeatShares }, []float64{0.5}},
		{func(r Run) []Quantity { return r.Resistances }, []float64{0.5, 0.95}},
		{func(r Run) []Quantity { return r.Forces }, []float64{0.5}},
		{func(r Run) []Quantity { return r.Utilisations }, []float64{0.5, 0.99}},
	} {
		c.addSection(t, section.of, section.percentiles)
		if margin != nil { // below the temperatures
			t.AddRow(margin...)
			margin = nil
		}
	}
	if slices.ContainsFunc(t.Rows, func(row []string) bool { return strings.Contains(row[0], "either edge") }) {
		t.note(eitherEdge)
	}
	return t
}

// addSection adds the quantities that any design has, the left of two edges alone where they agree in all.
func (c Compare) addSection(t *Table, of func(Run) []Quantity, percentiles []float64) {
	labels := c.edgesFolded(of)
	for _, d := range c.Designs {
		for _, q := range of(d.Results) {
			label, shown := labels[q.Name]
			if !shown {
				continue
			}
			delete(labels, q.Name)
			for i, p := range percentiles {
				row := []string{"", PercentileName(p)}
				if i == 0 {
					row[0] = q.Shown.Head(label)
				}
				for _, other := range c.Designs {
					row = append(row, cellOf(of(other.Results), q.Name, p))
				}
				t.AddRow(row...)
			}
		}
	}
}

// edgesFolded are the labels of the quantities to be shown, by name.
func (c Compare) edgesFolded(of func(Run) []Quantity) map[string]string {
	labels := map[string]string{}
	for _, d := range c.Designs {
		whole := of(d.Results)
		for _, q := range foldEdges(whole) {
			plain := whole[slices.IndexFunc(whole, func(w Quantity) bool { return w.Name == q.Name })].Label
			if known, ok := labels[q.Name]; !ok || known != plain {
				labels[q.Name] = q.Label
			}
		}
	}
	return labels
}

// cellOf prints a percentile of a quantity, empty where it is not there.
func cellOf(quantities []Quantity, name string, probability float64) string {
	for _, q := range quantities {
		if q.Name != name {
			continue
		}
		for _, p := range q.Percentiles {
			if math.Abs(p.Probability-probability) < 1e-9 {
				return estimateCells(p.Estimate, q.Shown)[0]
			}
		}
	}
	return ""
}

func (c Compare) differences(other int) *Table {
	name := letter(other + 1)
	t := newTable("differences_"+name, fmt.Sprintf("Probability of exceeding each limit, %s less A", name),
		texts("requirement"), numbers("A", name, "difference", "low", "high"))
	t.note("low, high: bounds of the difference, which hold for all of these tables together (paired counts, score bounds; for the limit of the ranking the bounds given there).")
	for i, q := range c.Designs[0].Results.Requirements {
		after := c.Designs[other+1].Results.Requirements[i]
		t.AddRow(append([]string{q.Label, estimateText(q.PerCard), estimateText(after.PerCard)}, c.Others[other].Differences[i].cells()...)...)
	}
	return t
}

func (c Compare) provenance() *Table {
	t := c.Provenance.Table()
	for i, d := range c.Designs[1:] {
		t.AddRow("study "+letter(i+1), d.Study)
		t.AddRow("its digest (SHA-256)", d.Digest)
	}
	return t
}
