package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// What a report prints of results whose tables are longer than a reader has patience
// for. The whole tables are attached to it as files.

// Brief has all percentiles in one table, the two edges in one row where they agree.
func (r Run) Brief() *Table {
	whole := slices.Concat(r.Temperatures, r.HeatShares, r.Resistances, r.Forces, r.Utilisations)
	quantities := foldEdges(whole)
	t := newTable("percentiles", "Percentiles over cards that fit their slot", texts("quantity"))
	if len(quantities) == 0 {
		return t
	}
	t.addPercentiles(quantities, []float64{0.05, 0.5, 0.95, 0.99, 0.999})
	t.Notes = []string{fmt.Sprintf("Below each percentile: its interval (order statistics), level %s %% or more. Shares are of the card's heat; of demand over capacity 1 is the limit.", Plain(100*r.Provenance.Confidence))}
	if len(quantities) < len(whole) {
		t.note(eitherEdge)
	}
	if beyondReach(quantities) {
		t.note("∞: this many cards set no bound so far out.")
	}
	return t
}

// BriefRequirements has one row for each limit.
func (r Run) BriefRequirements() *Table {
	t := newTable("by_limit", "Probability of exceeding each limit, as written",
		texts("requirement"), numbers("limit", "per card", "low", "high", "in plain numbers", "target"), texts("verdict"))
	t.note(fmt.Sprintf("low, high: interval of the sampling, level %s %% or more. The verdict holds it, and the bound over what is not known, against the target.", Plain(100*r.Provenance.Confidence)))
	if text := r.boundsOfNone(false); text != "" {
		t.note(text)
	}
	t.note("These are numbers of record, found on cards drawn for the verdict alone. Figures and percentiles count other cards; a few of those may exceed a limit that none of record exceeds.")
	var chassis []string
	if slices.ContainsFunc(r.Requirements, func(q Requirement) bool { return per(q.Name) != "card" }) {
		t.note(anyCardNote)
	}
	for _, q := range r.Requirements {
		t.AddRow(append(append([]string{q.Label, q.Shown.Text(q.Limit)}, probabilityCells(q.PerCard)...), EstimateInPlain(q.PerCard), targetText(q.Target), q.Verdict)...)
		if q.PerChassis.Value > 0 && !r.Provenance.ofChassis() {
			chassis = append(chassis, q.Label+" "+inSentence(q.PerChassis))
		}
	}
	t.foldSlots()
	if p := r.Provenance; p.CardsPerChassis > 1 && len(chassis) > 0 {
		t.note(fmt.Sprintf("At least one of the %d cards of a chassis: %s; of the others none was seen.", p.CardsPerChassis, strings.Join(chassis, ", ")))
	}
	return t
}

// Brief is the table of the mission with one row, of its worst judged condition, for a
// limit that holds in all of them.
func (m Mission) Brief() *Table {
	t, listed := m.table("by_condition"), false
	for _, q := range m.Requirements {
		if q.Verdict != "met" {
			listed = listed || q.Worst != ""
			t.add(q)
			continue
		}
		if condition, worst := m.inOneRow(q); worst != nil {
			t.seen(*worst, true)
			t.AddRow(append(append([]string{q.Label, condition, ""}, probabilityCells(*worst)...), ExactProbability(q.Target), q.Verdict)...)
		}
	}
	t.foldSlots()
	t.note(t.level()...)
	if t.dropEmpty("time"); listed {
		t.note(t.notes()...)
	}
	if m.anyCard() {
		t.note(anyCardNote)
	}
	return t.Table
}

// anyCard reports whether one of the limits is of any card of a chassis.
func (m Mission) anyCard() bool {
	return slices.ContainsFunc(m.Requirements, func(q MissionRequirement) bool { return per(q.Name) != "card" })
}

// anyCardNote says what the probabilities of such a limit are of.
const anyCardNote = "any card: probability per chassis that one of its cards exceeds its own limit. It is an estimate of its own, which chance may leave below that of one slot."

// BriefMisfits says how many cards are not clamped; a sentence where there are none.
func (r Run) BriefMisfits() Block {
	var names []string
	most := 0.0
	for _, e := range r.Misfits {
		if e.PerCard.Count > 0 {
			return r.misfits("")
		}
		names, most = append(names, e.Label), max(most, e.PerCard.High)
	}
	return Paragraph(fmt.Sprintf("Misfits: none seen, at most %s of the %s each (%s).", Probability(most, 0, 0), r.Provenance.counted(), strings.Join(names, "; ")))
}

const eitherEdge = "either edge: both agree within their intervals; the left one is shown, the JSON has both."

// foldEdges keeps the left of two quantities that are the same for both edges.
func foldEdges(all []Quantity) (kept []Quantity) {
	for _, q := range all {
		i := slices.IndexFunc(kept, func(k Quantity) bool { return k.Name != q.Name && sideless(k.Name) == sideless(q.Name) })
		if i < 0 || !overlap(kept[i], q) {
			kept = append(kept, q)
			continue
		}
		kept[i].Label = ofEitherEdge(kept[i].Label)
	}
	return kept
}

// ofEitherEdge is the label of what the left edge has in common with the right one.
func ofEitherEdge(label string) string {
	return strings.NewReplacer(", left edge", ", either edge", "the left edge", "either edge", "left edge", "either edge", ", left", ", either edge").Replace(label)
}

func sideless(name string) string {
	return strings.NewReplacer(".left", ".*", ".right", ".*").Replace(name)
}

// overlap reports whether the intervals of all percentiles do.
func overlap(a, b Quantity) bool {
	for i, p := range a.Percentiles {
		if o := b.Percentiles[i]; !(p.Low <= o.High && o.Low <= p.High) {
			return false
		}
	}
	return true
}

// mostDrivers are shown in a report.
const mostDrivers = 8

// Opening says of what the sensitivities are, and no number that stands elsewhere of other draws.
func (r Drivers) Opening() string {
	if !r.Established {
		return r.Headline()
	}
	return fmt.Sprintf("What makes the spread of the %s, and how often it is above %s, %s. Drivers have draws of their own; the probabilities that decide are those above.", r.Label, r.Shown.Text(r.Limit), r.Condition())
}

// Brief has the what-ifs in one table: the inputs that matter most, what is multiplied
// and what moves.
func (r Drivers) Brief() []Block {
	if !r.hasFactors() {
		return nil
	}
	t := newTable("what_if", fmt.Sprintf("What if one input changes: factor on the probability of exceeding %s, and change of %s of the %s", r.Shown.Text(r.Limit), PercentileName(r.Percentile), r.Difference.Head(r.Label)),
		texts("input"), numbers("1 sd"))
	t.Columns = slices.Concat(t.Columns, numbers(changeHeads...), numbers("P99, mean - 1 sd", "P99, mean + 1 sd"))
	inputs := slices.Clone(r.Inputs)
	slices.SortStableFunc(inputs, func(a, b Driver) int { return cmp.Compare(b.effect(), a.effect()) })
	for _, in := range inputs[:min(mostDrivers, len(inputs))] {
		if in.effect() == 0 {
			break
		}
		values, intervals := []string{starred(in.Input, in.Knowledge), in.DeviationText}, []string{"", ""}
		for _, c := range in.Changes {
			cells := factorCells(*c.Factor)
			values, intervals = append(values, cells[0]), append(intervals, cells[1])
		}
		for _, c := range in.Changes[2:] {
			cells := r.movedCells(c.Moved)
			values, intervals = append(values, cells[0]), append(intervals, cells[1])
		}
		t.AddRow(values...)
		t.AddRow(intervals...)
	}
	t.Together = true
	t.Notes = []string{"One input is changed in all its instances, all else stays. =: not distinguishable from no change. Below each value: its interval, level " + Plain(100*r.Level) + " %. Inputs that do less are in the files.", knowledgeNote}
	return []Block{t}
}

// effect is the largest change of the probability, on a logarithmic scale, that can be
// told from none.
func (in Driver) effect() (largest float64) {
	for _, c := range in.Changes {
		if f := c.Factor; f != nil && !f.Indistinguishable && f.Value > 0 {
			largest = max(largest, math.Abs(math.Log(f.Value)))
		}
	}
	return largest
}

// Basis has every input with its source, one row each; what is the same of several bodies
// or faces is one row.
func (r Inputs) Basis() *Table {
	t := newTable("basis", "Inputs with their sources", texts("input"), numbers("nominal", "P1 … P99"), texts("per", "source"))
	t.note("per: how widely one draw is shared; empty for a constant. * lack of knowledge: the same unknown number for all cards of the design. Inputs in one row have the same numbers and source; each is drawn for itself. Distributions as typed and meanings are in the files.")
	for _, l := range slices.Concat(r.Limits, r.Maker) {
		t.AddRow("limit: "+l.Label, l.Shown, "", "", l.Source)
	}
	t.foldSlots()
	for _, scatters := range []bool{true, false} {
		alike := map[string]int{} // row by all that stands in it but the name
		for _, in := range r.Inputs {
			if (in.Level != "") != scatters {
				continue
			}
			place, name := cutLast(in.Key)
			same := strings.Join([]string{name, in.NominalText, in.RangeText, in.Level, in.Source, starred("", in.Knowledge)}, "\x00")
			if i, ok := alike[same]; ok && place != "" {
				t.Rows[i][0] = strings.TrimSuffix(t.Rows[i][0], starred("", in.Knowledge)) + ", " + starred(in.Key, in.Knowledge)
				continue
			}
			alike[same] = len(t.Rows)
			t.AddRow(starred(in.Key, in.Knowledge), in.NominalText, in.RangeText, in.Level, in.Source)
		}
	}
	t.note(r.roughnessNote()...)
	for _, p := range r.Together {
		t.note(fmt.Sprintf("Drawn together: %s and %s, rank correlation %s.", p.Key, p.With, Plain(p.Rank)))
	}
	return t
}

// cutLast splits "face.direct.crown" before its last part.
func cutLast(key string) (place, name string) {
	i := strings.LastIndexByte(key, '.')
	if i < 0 {
		return "", key
	}
	return key[:i], key[i+1:]
}

// openInputs are the keys of the inputs that nothing stands behind yet.
type openInputs struct {
	assumed   []string // or invented, as their source says
	judged    []string // of a table, which nobody published; a source why it is this row does not change that
	unsourced []string // typed in a study, without a source
	defaults  []string // the tool's own
}

// open lists them.
func (r Inputs) open() (o openInputs) {
	for _, in := range r.Inputs {
		switch {
		case strings.Contains(in.Source, "invented") || strings.Contains(in.Source, Assumed):
			o.assumed = append(o.assumed, in.Key)
		case in.File == "":
			o.defaults = append(o.defaults, in.Key)
		case in.Source == "":
			o.unsourced = append(o.unsourced, in.Key)
		case strings.Contains(in.Source, "judgement") || strings.Contains(in.Source, "from memory"):
			o.judged = append(o.judged, in.Key)
		}
	}
	return o
}

func (o openInputs) all() []string {
	return slices.Concat(o.assumed, o.judged, o.unsourced, o.defaults)
}

// counts says how many of each there are: "56 assumed, 13 defaults" with the words of the caller.
func (o openInputs) counts(assumed, unsourced, defaults string) string {
	parts := []string{fmt.Sprintf("%d %s", len(o.assumed), assumed)}
	if n := len(o.judged); n > 0 {
		parts = append(parts, fmt.Sprintf("%d by judgement or from memory", n))
	}
	if n := len(o.unsourced); n > 0 {
		parts = append(parts, fmt.Sprintf("%d %s", n, unsourced))
	}
	return strings.Join(parts, ", ") + fmt.Sprintf(" and %d %s", len(o.defaults), defaults)
}

// Open is the number of inputs that nothing stands behind yet.
func (r Inputs) Open() int { return len(r.open().all()) }

// left lists them, for who has to replace them.
func (r Inputs) left() []Block {
	open := r.open()
	if len(open.all()) == 0 {
		return []Block{Paragraph("Every input has a source, none is called assumed or invented.")}
	}
	t := newTable("open", "Still assumed, invented, by judgement or from memory, without a source or the tool's own default", texts("input"), numbers("nominal"), texts("source"))
	for _, in := range r.Inputs {
		if source := in.Source; slices.Contains(open.all(), in.Key) {
			if slices.Contains(open.unsourced, in.Key) {
				source = "none given"
			}
			t.AddRow(in.Key, in.NominalText, source)
		}
	}
	return []Block{Paragraph(fmt.Sprintf("Of %d inputs %s: listed last.", len(r.Inputs), open.counts("are assumed or invented", "without a source", "the tool's own default"))), t}
}

// Assumed is the word by which a source says that a value is a guess to be replaced.
const Assumed = "assumed"
