package reports

import (
	"cmp"
	"fmt"
	"strings"

	"clampodds/sim/rare"
)

// TailSchema names the form of the JSON of a rare exceedance.
const TailSchema = "clampodds.tail/1"

// Tail is the probability of a rare exceedance, for one card, and the most
// likely ways to it. Numbers are in SI units, the unit beside them.
type Tail struct {
	Schema      string     `json:"schema"`
	Provenance  Provenance `json:"provenance"`
	Seed        uint64     `json:"seed"`
	Evaluations int        `json:"evaluations"`
	// Allowed bounds the evaluations, RelativeError is the relative standard
	// error aimed at.
	Allowed       int     `json:"evaluations_allowed"`
	RelativeError float64 `json:"relative_error_wanted"`

	Name     string  `json:"name"`
	Label    string  `json:"label"`
	Quantity string  `json:"quantity"`
	Limit    float64 `json:"limit"`
	Unit     string  `json:"unit"`
	Shown    Unit    `json:"-"`
	// Moved says that the limit is not that of the study.
	Moved  bool    `json:"limit_moved"`
	Target float64 `json:"target"` // 0 without a target
	// Decision judges the limit by its numbers of record, in every condition; Record is that of the study as
	// written. Both are null without a target. All else looks at the study as written, what is not known drawn
	// like scatter.
	Decision *Decision `json:"decision"`
	Record   *Estimate `json:"record"`

	// Established says whether the probability may decide; Agreement, the verdict in
	// words, and Reason say how far and why. One that is not established is the largest
	// of the estimates, with the range of them all.
	Established bool             `json:"established"`
	Agreement   string           `json:"agreement"`
	Reason      string           `json:"reason"`
	Probability rare.Probability `json:"probability"`
	// Beta is the reliability index -Φ^-1(probability).
	Beta     float64      `json:"reliability_index"`
	Methods  []TailMethod `json:"methods"`
	Events   []TailEvent  `json:"events"`
	Ways     []TailWay    `json:"ways"`
	Warnings []Warning    `json:"warnings,omitempty"`
}

// TailMethod is what one method found. The first-order approximation has neither
// interval nor evaluations of its own, the second search no estimate.
type TailMethod struct {
	Name        string            `json:"name"`
	Probability *rare.Probability `json:"probability,omitempty"`
	Value       float64           `json:"value"`
	Evaluations int               `json:"evaluations,omitempty"`
	Note        string            `json:"note"`
}

// TailEvent is one of the events that count as exceeding.
type TailEvent struct {
	Name        string           `json:"name"`
	Label       string           `json:"label"`
	Probability rare.Probability `json:"probability"`
	// OutOfReach says that no draw showed it and no way to it was found.
	OutOfReach bool `json:"out_of_reach"`
}

// TailWay is a design point: the most likely inputs of its event.
type TailWay struct {
	Event string `json:"event"`
	// Beta is its distance from the medians, in standard deviations;
	// FirstOrder is Φ(-Beta).
	Beta       float64     `json:"beta"`
	FirstOrder float64     `json:"first_order"`
	Inputs     []TailInput `json:"inputs"`
}

// TailInput is one input at a design point.
type TailInput struct {
	Input     string  `json:"input"`
	Instance  string  `json:"instance,omitempty"` // edge or face that draws for itself
	Level     string  `json:"per"`
	Knowledge bool    `json:"knowledge"`
	Unit      string  `json:"unit"`
	Shown     Unit    `json:"-"`
	Value     float64 `json:"value"`
	Median    float64 `json:"median"`
	StdDev    float64 `json:"sd"`
	// Score is the standard normal value as improbable as Value.
	Score float64 `json:"standard_score"`
	// Importance is the input's share of Beta²; of correlated inputs that of the
	// whole set, given with each of them.
	Importance float64 `json:"importance"`
	// Set numbers the correlated sets, 0 for an independent input.
	Set int `json:"correlated_set,omitempty"`
}

// inputsShown are those of at least this importance.
const leastImportance = 0.01

// mostOtherWays are listed after the first.
const mostOtherWays = 5

// Document draws the result for people.
func (t Tail) Document() Document {
	d := Document{Title: t.Provenance.Title}
	if t.Decision != nil {
		d.addDecision(t.Decision)
	}
	d.Add(Paragraph(t.headline()), Paragraph(t.standing()))
	d.Add(t.methods(), t.events())
	if len(t.Ways) > 0 {
		d.Add(t.way(t.Ways[0]))
		d.AddFilled(t.otherWays())
	}
	d.addEnd(t.Warnings, t.provenance())
	return d
}

// headline is what the ways to exceed tell in one sentence: of what is not established the range
// first, and its upper estimate as the envelope that it is.
func (t Tail) headline() string {
	p := t.Probability
	interval := fmt.Sprintf("%s … %s", tailText(p, p.Low), tailText(p, p.High))
	level := Plain(100*p.Level) + " %"
	of := fmt.Sprintf("%s above %s, %s", t.Label, t.Shown.Text(t.Limit), cmp.Or(t.Provenance.Condition, "as written"))
	switch {
	case p.Value == 0:
		return fmt.Sprintf("NONE SEEN: %s: at most %s per %s (%s).", of, tailText(p, p.High), per(t.Quantity), level)
	case !t.Established:
		return fmt.Sprintf("NOT ESTABLISHED: %s: %s per %s is the range of all estimates with their intervals, of the search's first few draws too, which have no row below; the largest estimate, an envelope, is %s.", of, interval, per(t.Quantity), tailText(p, p.Value))
	}
	answer := fmt.Sprintf("ESTABLISHED: %s: %s per %s (%s, %s)", of, tailText(p, p.Value), per(t.Quantity), interval, level)
	if p.Value < 0.5 {
		answer += ", reliability index " + Number(t.Beta, 2)
	}
	return answer + "."
}

// standing says why.
func (t Tail) standing() string {
	text := strings.ToUpper(t.Reason[:1]) + t.Reason[1:] + "."
	if !t.Established && t.Probability.Value > 0 {
		text += " More --evaluations may establish it."
	}
	if t.Target == 0 {
		text += " The study sets no target."
	}
	if t.Moved {
		text += " The limit was moved on the command line."
	}
	return text
}

// tailText prints a number of the size of a probability.
func tailText(p rare.Probability, x float64) string {
	return Probability(x, p.Low, p.High)
}

// tailCells prints value, low and high; one never seen reads as its bound.
func tailCells(p rare.Probability) []string {
	return probabilityCells(Estimate{Value: p.Value, Interval: p.Interval})
}

func (t Tail) methods() *Table {
	table := newTable("methods", "Method by method", texts("method"), numbers("probability", "low", "high", "evaluations"), texts("note"))
	if t.Record != nil {
		table.AddRow(append(append([]string{"number of record"}, probabilityCells(*t.Record)...), "", "decides, with the conditions")...)
	}
	for _, m := range t.Methods {
		cells := []string{Probability(m.Value, 0, 0), "", ""}
		if m.Probability != nil {
			cells = tailCells(*m.Probability)
		}
		table.AddRow(append(append([]string{m.Name}, cells...), countCell(m.Evaluations), m.Note)...)
	}
	return table
}

func (t Tail) events() *Table {
	table := newTable("events", "What counts as exceeding, event by event", texts("event"), numbers("probability", "low", "high"))
	table.note("Events can happen together, so their sum may be more than the probability above.")
	for _, e := range t.Events {
		cells := tailCells(e.Probability)
		if e.OutOfReach {
			cells = []string{noneSeen, "", "no way to it within 9 sd"}
		}
		table.AddRow(append([]string{e.Label}, cells...)...)
	}
	return table
}

func (t Tail) way(w TailWay) *Table {
	table := newTable("most_likely_way", fmt.Sprintf("The most likely way to exceed: %s, %s standard deviations from the medians", w.Event, Number(w.Beta, 2)),
		texts("input", "at", "per"), numbers("value", "median"), texts("unit"), numbers("score", "importance"))
	table.note("score: the value as a number of standard deviations of a normal variable. importance: share of the squared distance.")
	others, rest, counted := 0, 1.0, map[int]bool{}
	for i, in := range w.Inputs {
		if in.Importance < leastImportance && i > 0 {
			others++
			continue
		}
		mark := ""
		if in.Set > 0 {
			mark = "*"
		}
		if !counted[in.Set] {
			rest -= in.Importance
			counted[in.Set] = in.Set > 0
		}
		table.AddRow(in.Input, in.Instance, in.level(), in.text(in.Value), in.text(in.Median), in.Shown.Label,
			Number(in.Score, 2), Number(100*in.Importance, 1)+" %"+mark)
	}
	if others > 0 {
		table.AddRow(fmt.Sprintf("%d others", others), "", "", "", "", "", "", Number(100*rest, 1)+" %")
	}
	if len(counted) > 1 || counted[1] {
		table.note("* correlated inputs: the importance is that of their set.")
	}
	return table
}

func (in TailInput) level() string {
	if in.Knowledge {
		return in.Level + ", not known"
	}
	return in.Level
}

// text prints a value with the decimals that its spread makes meaningful.
func (in TailInput) text(x float64) string {
	value, deviation := in.Shown.Of(in.Value), in.StdDev
	low, high := in.Shown.Of(in.Value-deviation), in.Shown.Of(in.Value+deviation)
	return Number(in.Shown.Of(x), Digits(value, low, high))
}

func (t Tail) otherWays() *Table {
	table := newTable("other_ways", "Other ways found", texts("event"), numbers("distance"), texts("mostly through"))
	for _, w := range t.Ways[1:min(len(t.Ways), 1+mostOtherWays)] {
		var through []string
		for _, in := range w.Inputs[:min(len(w.Inputs), 3)] {
			through = append(through, strings.TrimSpace(in.Input+" "+in.text(in.Value)+" "+in.Shown.Label))
		}
		table.AddRow(w.Event, Number(w.Beta, 2), strings.Join(through, ", "))
	}
	return table
}

func (t Tail) provenance() *Table {
	table := t.Provenance.Table()
	table.AddRow("seed", fmt.Sprint(t.Seed))
	table.AddRow("model evaluations", fmt.Sprintf("%d of %d allowed", t.Evaluations, t.Allowed))
	table.AddRow("relative standard error aimed at", Plain(100*t.RelativeError)+" %")
	table.AddRow("interval level", Plain(100*t.Probability.Level)+" %")
	return table
}
