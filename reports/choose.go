package reports

import (
	"cmp"
	"fmt"
	"strings"
)

// ChooseSchema names the form of the JSON of the cheapest combination.
const ChooseSchema = "clampodds.choose/1"

// Choose is the cheapest combination of options that meets every limit in the whole
// mission.
type Choose struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Verdict is yes: Best is the cheapest; no: no combination meets every limit;
	// undecided: a cheaper combination, or without Best any, may.
	Verdict string `json:"verdict"`
	// Best is the cheapest combination that is met; null where none is.
	Best *Combination `json:"best"`
	// Fell are the combinations that were judged before Best, by rising cost: not met or
	// undecided.
	Fell    []Combination `json:"fell_short"`
	Options []Open        `json:"options"`
	// Combinations is the number of all, Judged of how many were judged: what costs more
	// than Best was not.
	Combinations int `json:"combinations"`
	Judged       int `json:"judged"`
}

// Open is an option, or the tolerances on offer of an input, with what may be chosen.
type Open struct {
	Name    string    `json:"name"`
	Choices []Offered `json:"choices"`
}

// Offered is a choice with its cost.
type Offered struct {
	Name string  `json:"name"`
	Cost float64 `json:"cost"`
}

// Combination has one choice of every option.
type Combination struct {
	// Choices are in the order of the options.
	Choices []string `json:"choices"`
	Cost    float64  `json:"cost"`
	// Decision is where it is met, not met or undecided; of a combination that fell short
	// the first place found.
	Decision Decision `json:"decision"`
}

// Document draws the answer for people.
func (r Choose) Document() Document {
	d := Document{Title: r.Provenance.Title}
	d.Add(r.answer())
	if r.Best != nil {
		d.Add(r.chosen())
		d.addDecision(&r.Best.Decision)
	}
	d.AddFilled(r.fell(), r.offered())
	d.Add(Heading("What this rests on"), List{
		"Combinations are judged by rising cost, each as run would judge it: every limit with a target in every condition, with what is not known kept apart, by numbers of record. The first that is met ends the search; of equal cost the one earlier in the study comes first.",
		fmt.Sprintf("One that falls short is left at the first place found. A combination that lies just at a target is taken as met in at most %s of 100 seeds; each cheaper one that is not met has the same chance to have been it.", Plain(100*(1-r.Provenance.Confidence))),
		"Costs are the study's and are added. A condition replaces what it names in every combination.",
	})
	d.addEnd(nil, r.Provenance.Table())
	return d
}

// answer is the result in a sentence.
func (r Choose) answer() Paragraph {
	undecided, notMet := r.split()
	open := ""
	if len(undecided) > 0 {
		open = fmt.Sprintf("; left open: %d, the cheapest of these at cost %s: %s", len(undecided), undecided[0].cost(), undecided[0].words(r.Options))
	}
	holds, yes := "meets every limit in "+r.scope(), "YES"
	if r.Best != nil {
		yes += withCaution(r.Best.Decision.caution())
	}
	switch {
	case r.Best == nil && open == "":
		return Paragraph(fmt.Sprintf("NO: none of %d combinations %s.", r.Combinations, holds))
	case r.Best == nil:
		return Paragraph(fmt.Sprintf("UNDECIDED: none of %d combinations is shown to meet every limit in %s. Not met: %d%s.", r.Combinations, r.scope(), len(notMet), open))
	case len(r.Fell) == 0:
		return Paragraph(fmt.Sprintf("%s: the cheapest combination of all, cost %s, %s.", yes, r.Best.cost(), holds))
	}
	text := fmt.Sprintf("cost %s %s. Of %d combinations that cost no more, not met: %d%s.", r.Best.cost(), holds, len(r.Fell), len(notMet), open)
	if open != "" {
		return Paragraph("UNDECIDED: " + text)
	}
	return Paragraph(yes + ": " + text)
}

// scope is where all of them are judged.
func (r Choose) scope() string {
	if r.Best == nil {
		return r.Fell[0].Decision.scope()
	}
	return r.Best.Decision.scope()
}

func (c Combination) cost() string { return Plain(c.Cost) }

// split parts what fell short by its verdict, in its order.
func (r Choose) split() (undecided, notMet []Combination) {
	for _, c := range r.Fell {
		if c.Decision.Verdict == "undecided" {
			undecided = append(undecided, c)
		} else {
			notMet = append(notMet, c)
		}
	}
	return undecided, notMet
}

// words names the choices of a combination.
func (c Combination) words(options []Open) string {
	var words []string
	for i, choice := range c.Choices {
		words = append(words, options[i].Name+" "+choice)
	}
	return strings.Join(words, "; ")
}

// chosen is the best combination, option by option.
func (r Choose) chosen() *Table {
	t := newTable("chosen", "The combination", texts("option", "choice"), numbers("cost"))
	for i, o := range r.Options {
		for _, c := range o.Choices {
			if c.Name == r.Best.Choices[i] {
				t.AddRow(o.Name, c.Name, Plain(c.Cost))
			}
		}
	}
	t.AddRow("all", "", r.Best.cost())
	return t
}

// mostShown is the number of rows of the table of what fell short; JSON has all.
const mostShown = 12

// fell has the undecided ones first, then those not met that are nearest in cost.
func (r Choose) fell() *Table {
	t := newTable("fell_short", "What falls short", numbers("cost"), texts("verdict", "where"), numbers("probability", "low", "high", "at most", "target"), texts("choices"))
	if r.Best != nil {
		t.Caption = "Combinations that cost no more and fall short"
	}
	undecided, notMet := r.split()
	rows := append(undecided, notMet[max(0, min(len(notMet), len(r.Fell)-mostShown)):]...)
	for _, c := range rows[:min(len(rows), mostShown)] {
		d := c.Decision
		cells := append([]string{c.cost(), d.Verdict, cmp.Or(d.NotAllowed, d.where())}, probabilityCells(d.PerCard)...)
		t.AddRow(append(cells, boundCell(d.Bound), ExactProbability(d.Target), strings.Join(c.Choices, "; "))...)
	}
	if left := len(r.Fell) - len(t.Rows); left > 0 {
		t.note(fmt.Sprintf("%d more are not shown; JSON has all.", left))
	}
	t.note("low, high: on as many cards as it took to show that the combination falls short; run draws more and comes closer. at most: allowing for what is not known, with the confidence of the run.")
	return t
}

// offered lists the options.
func (r Choose) offered() *Table {
	t := newTable("options", "Options", texts("option", "choice"), numbers("cost"))
	for _, o := range r.Options {
		for i, c := range o.Choices {
			name := o.Name
			if i > 0 {
				name = ""
			}
			t.AddRow(name, c.Name, Plain(c.Cost))
		}
	}
	return t
}
