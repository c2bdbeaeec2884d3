package reports

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

func (c Change) verdict() *Table {
	t := newTable("verdict", "", texts("verdict", "caution", "difference", "target after", "margin", "deciding requirement", "condition"))
	requirement, condition := "", ""
	if c.Deciding >= 0 {
		requirement, condition = c.Requirements[c.Deciding].Name, c.Requirements[c.Deciding].Condition
	}
	t.AddRow(c.Verdict, hasCaution(c.caution()), c.DifferenceVerdict, c.TargetVerdict, c.Margin, requirement, condition)
	return t
}

func (c Change) provenance() *Table {
	t := c.Provenance.Table()
	t.AddRow("study after", c.After.Study)
	t.AddRow("its digest (SHA-256)", c.After.Digest)
	return t
}

func (c Change) differences() *Table {
	t := newTable("differences", "What differs between the two studies", texts("key", "what it is", "before", "after"))
	for _, d := range c.Differences {
		t.AddRow(d.Key, d.Meaning, d.Before, d.After)
	}
	return t
}

// requirements lists the differences; in brief the largest one of each limit that the change touches.
func (c Change) requirements(brief bool) *Table {
	t := newTable("requirements", "Probability of exceeding each limit, per card",
		texts("requirement", "condition"), numbers("before", "after", "change", "low", "high", notKnown), texts("difference", "target after"))
	list := c.Requirements
	if brief {
		list = c.worst()
	}
	short, tail := false, false
	for _, q := range list {
		verdict, bound := c.verdictOn(q), ""
		if q.Tail {
			verdict, tail = verdict+" †", true
		}
		if q.Bound != nil && c.MarginKind == "absolute" {
			bound = "≤ " + strings.TrimPrefix(Difference{Value: q.Bound.High, Interval: q.Bound.Interval}.text(q.Bound.High), "+")
		}
		short = short || q.notLookedAt()
		t.AddRow(append(append([]string{q.title(), q.Condition, estimateText(q.Before), estimateText(q.After)}, q.cells()...), bound, verdict, q.TargetVerdict)...)
	}
	t.note("before, after: the numbers of record that run gives for each study. change: on draws common to both studies, so it is not exactly after minus before.")
	t.note(c.levels())
	if !brief || t.dropEmpty(notKnown) {
		t.note(fmt.Sprintf(notKnown+": bound of the change with %s %% confidence over what is not known.", Plain(100*c.Confidence)))
	}
	if short {
		t.note(notSettled + "; " + onAverage + ": another difference decides, so no more cards were drawn for this one. Those drawn do not tell whether it is within the margin; or they do, averaged over what is not known.")
	}
	if slices.ContainsFunc(list, func(q ChangeRequirement) bool {
		return c.MarginKind == "relative" && q.Verdict == "undecided" && q.Before.Value == 0
	}) {
		t.note("A limit that no card of record exceeds before the change has no share of that: under a margin in per cent it stays undecided. An absolute margin decides it.")
	}
	if tail {
		t.note("† by the tail methods.")
	}
	if !brief {
		return t
	}
	var rest []string
	for _, q := range c.Requirements {
		if c.untouched(q.Name) && !slices.Contains(rest, q.Label) {
			rest = append(rest, q.Label)
		}
	}
	if len(rest) > 0 {
		t.note("Not touched in any condition, the same number in every card of both designs: " + strings.Join(rest, "; ") + ".")
	}
	t.note("Of each limit the condition is shown that decides or, where all are decided alike, changes most; JSON and CSV have all.")
	return t
}

const notKnown, onAverage, notSettled = "not known", "within, on average", "not settled"

// verdictOn is the verdict on a difference in a word or two.
func (c Change) verdictOn(q ChangeRequirement) string {
	switch {
	case q.Informative:
		return "shown only"
	case q.Untouched:
		return q.Verdict + " *"
	case q.notLookedAt() && c.MarginKind == "absolute" && q.High <= c.MarginValue:
		return onAverage
	case q.notLookedAt():
		return notSettled
	}
	return q.Verdict
}

// notLookedAt says of a difference that others had decided.
func (q ChangeRequirement) notLookedAt() bool {
	return !q.Informative && q.Verdict == "undecided" && q.Wanting == ""
}

// levels are those of the bounds.
func (c Change) levels() string {
	level, together := (1+c.Provenance.Confidence)/2, 1-(1-c.Provenance.Confidence)/2/float64(max(1, c.Judged))
	return fmt.Sprintf("low, high: bounds of the change, each at %s %%, the chance of error shared by two looks. Not safe asks for the low end at %s %%, since %d differences are judged together.",
		Plain(100*level), Number(100*together, 2), c.Judged)
}

// worst has of each limit that the change touches one condition: that which decides or, of another limit, the one where the
// change is told of most.
func (c Change) worst() (kept []ChangeRequirement) {
	for i, q := range c.Requirements {
		at := slices.IndexFunc(kept, func(have ChangeRequirement) bool { return have.Name == q.Name })
		switch {
		case c.untouched(q.Name):
		case at < 0:
			kept = append(kept, q)
		case i == c.Deciding, c.decidingName() != q.Name && q.tellsMore(kept[at]):
			kept[at] = q
		}
	}
	return kept
}

// tellsMore orders the conditions of a requirement by the verdicts. Where these are alike, a difference that is not within the margin
// tells by its upper bound, one that is by how much it changes or else by how near the target is.
func (q ChangeRequirement) tellsMore(than ChangeRequirement) bool {
	order := slices.Compare(q.concerns(), than.concerns())
	if order == 0 && concern[q.Verdict] <= concern["safe"] {
		order = cmp.Or(cmp.Compare(math.Abs(q.Value), math.Abs(than.Value)), cmp.Compare(q.After.High, than.After.High))
	}
	return cmp.Or(order, cmp.Compare(q.highest(), than.highest())) > 0
}

// concerns are the verdicts on the difference and on the target after it, as numbers; of what is only shown none.
func (q ChangeRequirement) concerns() []int {
	if q.Informative {
		return nil
	}
	return []int{concern[q.Verdict], concern[q.TargetVerdict]}
}

var concern = map[string]int{"safe": 1, "met": 1, "undecided": 2, "not safe": 3, "not met": 3}

// highest is the upper bound of a difference, with what is not known where that is kept apart.
func (q ChangeRequirement) highest() float64 {
	if q.Bound == nil {
		return q.High
	}
	return max(q.High, q.Bound.High)
}

// untouched says that the change leaves a limit alone in every condition.
func (c Change) untouched(name string) bool {
	return !slices.ContainsFunc(c.Requirements, func(q ChangeRequirement) bool { return q.Name == name && !q.Untouched })
}

// stepStatistics are shown of each step.
var stepStatistics = []string{"mean", "P99"}

// steps has the differences one by one; nil where none is judged.
func (c Change) steps() *Table {
	if c.Deciding < 0 || len(c.Differences) == 1 { // a single one is the change, whose number stands above
		return nil
	}
	q := c.Requirements[c.Deciding]
	t := newTable("steps", fmt.Sprintf("Which difference matters: %s, one difference at a time, %s", q.title(), q.Condition),
		texts("difference"), numbers("change of probability", "low", "high"))
	unit := ""
	for _, s := range c.Shifts {
		if s.Label == q.Label {
			unit = s.Step.Label
		}
	}
	for _, name := range stepStatistics {
		t.Columns = append(t.Columns, numbers(Unit{Label: unit}.Head("change of "+name))...)
	}
	for _, s := range c.Steps {
		row := append([]string{s.Key}, s.of(q.Name).cells()...)
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

// Record is the change on one page, to be attached to the request for it: the decision,
// what differs, the probabilities, what they were computed from, and room for those who
// answer for it.
func (c Change) Record() Document {
	d := Document{Title: "Record of a change: " + strings.ToUpper(c.Verdict)}
	d.Add(Paragraph(fmt.Sprintf("Request: %s · Date: %[1]s", toFillIn)))
	d.Add(c.answer()...)
	d.Add(c.studies())
	d.AddFilled(c.differences())
	if !c.Same {
		d.Add(c.requirements(true))
	}
	d.Add(c.decisions(), Paragraph(alikeForBoth), signatures("asked by", "judged by", "approved by"), Paragraph(strings.Join(Cautions, " ")))
	return d
}

// studies say which were compared, and by what.
func (c Change) studies() *Table {
	t := newTable("studies", "What was compared", texts("", "before", "after"))
	p := c.Provenance
	t.AddRow("study", p.Study, c.After.Study)
	t.AddRow("title", p.Title, c.After.Title)
	t.AddRow("digest (SHA-256)", p.Digest, c.After.Digest)
	computed := fmt.Sprintf("%s %s, seed %d", p.Tool, p.Version, p.Seed)
	t.AddRow("computed by", computed, computed)
	return t
}

// decisions are those on both designs in the whole mission.
func (c Change) decisions() *Table {
	t := newTable("decisions", "Each design against its targets, in every condition",
		texts("design", "verdict", "decided by", "per card", "with what is not known"), numbers("target"))
	for _, side := range []struct {
		name string
		*Decision
	}{{"before", c.BeforeDecision}, {"after", c.AfterDecision}} {
		if side.Decision == nil || side.Requirement == "" {
			continue
		}
		bound := ""
		if side.Bound != nil {
			bound = "at most " + inSentence(*side.Bound) + " with " + Plain(100*side.Confidence) + " %"
		}
		t.AddRow(side.name, side.Verdict, side.where(), inSentence(side.PerCard), bound, ExactProbability(side.Target))
	}
	return t
}
