package reports

import (
	"cmp"
	"fmt"
	"strings"
)

// LoosenSchema names the form of the JSON of loosened tolerances.
const LoosenSchema = "clampodds.loosen/2"

// Loosen says how far each tolerance may go.
type Loosen struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Decision is the study as it is; its verdict is the answer's.
	Decision     Decision            `json:"decision"`
	Requirements []LoosenRequirement `json:"requirements"`
	Tolerances   []Tolerance         `json:"tolerances"`
	Knowledge    []string            `json:"lack_of_knowledge"` // inputs left as written
	// ChangeMargin is the margin that the study holds a change against, which no end looks at; 0 where it has none.
	ChangeMargin float64 `json:"change_margin,omitempty"`
	// OnAverage says that lack of knowledge alone keeps the study from being met: ends
	// averaged over it are given as well. Offered, that the study has steps that cost.
	OnAverage bool `json:"-"`
	Offered   bool `json:"-"`
}

// LoosenRequirement is a limit in the condition that decides on it.
type LoosenRequirement struct {
	Name      string  `json:"name"`
	Label     string  `json:"label"`
	LimitText string  `json:"limit"`
	Condition string  `json:"condition"`
	Target    float64 `json:"target"`
	// PerCard and Bound are as in Decision.
	PerCard Estimate  `json:"per_card"`
	Bound   *Estimate `json:"with_confidence"`
	Verdict string    `json:"verdict"`
	Wanting string    `json:"wanting,omitempty"`
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

// ToleranceEnd is the end of what a tolerance may be, all others as written; of a study
// that is not met, what it would have to become.
type ToleranceEnd struct {
	// Direction is up or down.
	Direction string `json:"direction"`
	// MetTo is the last position at which every limit is met in every condition, Becomes
	// the tolerance there.
	MetTo   Position `json:"met_to"`
	Becomes string   `json:"becomes"`
	// First and Condition are the limit that stands in the way beyond, Beyond its verdict
	// there, and Wanting what would decide that. Of the torque it may be that of the clamp's maker, torque.least or
	// torque.most, beyond which it is not allowed.
	First     string `json:"first_missed,omitempty"`
	Condition string `json:"condition,omitempty"`
	Beyond    string `json:"beyond,omitempty"`
	Wanting   string `json:"wanting,omitempty"`
	// OnAverage is the same, averaged over what is not known; null where the rule serves.
	OnAverage *OnAverage `json:"on_average"`
	// Verdict is yes, no or undecided: may it be loosened at all?
	Verdict string `json:"loosen"`
}

// OnAverage is an end averaged over what is not known.
type OnAverage struct {
	MetTo   Position `json:"met_to"`
	Becomes string   `json:"becomes"`
}

// Position is a place on the axis: found there, open (met as far as was
// looked) or never (missed wherever was looked).
type Position struct {
	State string   `json:"state"`
	At    *float64 `json:"at,omitempty"`
}

// Document draws the answer for people.
func (r Loosen) Document() Document {
	d := Document{Title: r.Provenance.Title}
	d.addDecision(&r.Decision)
	d.Add(Paragraph(r.answer()), requirementsAsWritten("requirements", "Each limit in the condition that decides on it", r.Requirements))
	if t := r.spreads(); t != nil {
		d.Add(t)
	}
	if t := r.means(); t != nil {
		d.Add(t)
	}
	d.Add(Heading("What this rests on"), r.basis())
	d.addEnd(nil, r.Provenance.Table())
	return d
}

// basis is what the answer rests on.
func (r Loosen) basis() List {
	list := List{
		"Each tolerance is moved alone, all others stay as written. Spread grows about the mean with the limits it is cut at; a deviation from zero (size) grows as a whole. Where a condition sets the input anew, that moves too.",
		"An end is the last position looked at where every limit holds in every condition, by the rule of run: numbers of record, on the same draws. It is found to 0.02 of a factor, or 0.05 standard deviations of a mean, on the assumption that each limit is crossed once on the way. It is rounded to the side that is met. The record there is only just clear of its target: by another seed run may leave it undecided, or the end lie a little elsewhere.",
		"A roughness is as the study states it, Ra or rms; in the JSON the shift of a mean is rms.",
		"Draws beyond the allowed range of an input are moved to its end, as everywhere.",
		"Lack of knowledge and model error are no tolerances and stay as written: " + strings.Join(r.Knowledge, ", ") + ".",
	}
	if r.OnAverage {
		list = append(list, "On average: the search also ends at a position that is met with the upper end of the probability within 3 % of its target.")
	}
	if r.Offered {
		list = append(list, "Which of the steps on offer cost least: choose.")
	}
	return list
}

// answer says what the tables tell, and which spread has the least room.
func (r Loosen) answer() string {
	switch {
	case r.Decision.NotAllowed != "":
		return "Nothing is to be loosened at a torque that is not allowed: torque says whether another one holds. The tables tell, by the targets alone, how far a tolerance may go or what it would have to become, and of the torque itself what is allowed."
	case r.OnAverage:
		return "Only what is not known leaves the study undecided. The tables tell what each tolerance would have to become and, with what is not known averaged, how far it may go." + r.leastRoom() + r.targetsAlone()
	case r.Decision.Verdict != "met":
		return "The tables tell what a tolerance would have to become."
	}
	return "The tables tell how far a tolerance may go." + r.leastRoom() + r.targetsAlone()
}

// targetsAlone says what an end does not look at.
func (r Loosen) targetsAlone() string {
	margin := ""
	if r.ChangeMargin > 0 {
		margin = ", here +" + ExactProbability(r.ChangeMargin)
	}
	return " That is by the targets alone: a change that somebody asks for is also held against its margin" + margin + ", and that may allow less (clampodds change)."
}

func (r Loosen) leastRoom() string {
	var least *Tolerance
	var at float64
	for i, m := range r.Tolerances {
		p := m.Ends[0].MetTo.At
		if r.OnAverage {
			p = m.Ends[0].OnAverage.MetTo.At
		}
		if (m.Kind == "spread" || m.Kind == "size") && p != nil && (least == nil || *p < at) {
			least, at = &r.Tolerances[i], *p
		}
	}
	if least == nil {
		return ""
	}
	if at < 1 {
		return fmt.Sprintf(" The spread of %s has to shrink, to %s of itself.", least.Input, NumberDown(at, 2))
	}
	text := fmt.Sprintf(" The spread with the least room is that of %s: it may grow %s-fold", least.Input, NumberDown(at, 2))
	if r.OnAverage {
		text += " on average"
	}
	return text + "."
}

func requirementsAsWritten(key, caption string, list []LoosenRequirement) *Table {
	t := newTable(key, caption,
		texts("requirement"), numbers("limit"), texts("condition"), numbers("probability", "low", "high", "with confidence", "target"), texts("verdict"))
	for _, q := range list {
		t.AddRow(append(append([]string{q.Label, q.LimitText, q.Condition}, probabilityCells(q.PerCard)...), boundCell(q.Bound), ExactProbability(q.Target), q.Verdict)...)
	}
	t.note("with confidence: the quantile over what is not known, where it is kept apart.")
	return t
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
	t := newTable("spreads", "How far each spread may go, all others as written",
		texts("tolerance", "now", "may become"), numbers("factor", "on average"), texts("loosen", "beyond it"))
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
		if end.MetTo.State == "open" {
			free = append(free, name)
			continue
		}
		average := ""
		if end.OnAverage != nil {
			average = end.OnAverage.MetTo.factor()
		}
		t.AddRow(name, m.Now, end.Becomes, end.MetTo.factor(), average, end.Verdict, end.beyond())
	}
	if !any {
		return nil
	}
	r.finish(t)
	t.note(wrapped("May grow 4-fold: ", free)...)
	return t
}

// beyond is what stands in the way.
func (e ToleranceEnd) beyond() string {
	if e.First == "" {
		return ""
	}
	text := limitName(e.First)
	if e.Condition != "" {
		text += ", " + e.Condition
	}
	text += ": " + e.Beyond
	if e.Wanting != "" {
		text += " (" + e.Wanting + ")"
	}
	return text
}

// finish leaves out what is averaged where the rule serves, and explains the columns.
func (r Loosen) finish(t *Table) {
	if r.OnAverage {
		t.note("on average: averaged over what is not known, which then counts like scatter.")
	} else {
		t.drop("on average")
	}
	t.note("beyond it: the limit and the condition that stand in the way, and what they are there.")
}

// limitName is the name of a limit in few letters.
func limitName(name string) string { return strings.TrimPrefix(name, "component.") }

func (p Position) factor() string {
	switch p.State {
	case "open":
		return "> 4"
	case "never":
		return "none"
	}
	return NumberDown(*p.At, 2)
}

// means lists the shifts, those without an end in a note.
func (r Loosen) means() *Table {
	t := newTable("means", "How far each mean may move, all others as written",
		texts("tolerance"), numbers("mean now"), texts("way"), numbers("to", "on average"), texts("loosen", "beyond it"))
	var free []string
	any := false
	for _, m := range r.Tolerances {
		if m.Kind != "mean" {
			continue
		}
		any = true
		shown := false
		for i, end := range m.Ends {
			if end.MetTo.State == "open" {
				continue
			}
			average := ""
			if end.OnAverage != nil {
				average = end.OnAverage.Becomes
			}
			t.AddRow(m.Input, m.Now, m.way(i, cmp.Or(r.Decision.ByTargets, r.Decision.Verdict)), end.Becomes, average, end.Verdict, end.beyond())
			shown = true
		}
		if !shown {
			free = append(free, m.Input)
		}
	}
	if !any {
		return nil
	}
	r.finish(t)
	t.note("A direction that is not listed is met as far as 6 standard deviations.")
	t.note(wrapped("Met 6 standard deviations either way: ", free)...)
	return t
}

// way says which way the mean may go at an end, or has to. Where both ends lie on one side of the mean it has to go to the nearer.
func (t Tolerance) way(end int, verdict string) string {
	may := "has to "
	switch {
	case t.Ends[end].OnAverage != nil && t.Ends[end].MetTo.At == nil: // the rule asks for what is not there; it may on average
		may = ""
	case verdict == "met":
		may = "may "
	}
	for i, e := range t.Ends {
		switch {
		case !e.beyondMean():
		case i == end:
			return "has to " + map[string]string{"up": "fall", "down": "rise"}[e.Direction]
		default:
			may = "may "
		}
	}
	return may + map[string]string{"up": "rise", "down": "fall"}[t.Ends[end].Direction]
}

// beyondMean says that the end lies on the other side of the mean than its direction, since what lies between is not allowed.
func (e ToleranceEnd) beyondMean() bool {
	at := e.MetTo.At
	if at == nil && e.OnAverage != nil {
		at = e.OnAverage.MetTo.At
	}
	return at != nil && (e.Direction == "up" && *at < 0 || e.Direction == "down" && *at > 0)
}
