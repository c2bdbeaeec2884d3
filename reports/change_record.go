package reports

import (
	"fmt"
	"strings"
)

// Record is the change on one page, to be attached to the request for it: the decision,
// what differs, the probabilities, what they were computed from, and room for those who
// answer for it.
func (c Change) Record() Document {
	d := Document{Title: "Record of a change"}
	d.Add(c.studies())
	d.Add(c.answer()...)
	d.AddFilled(c.differences())
	d.Add(c.requirements(true), c.decisions(), Paragraph(c.basis()), signatures("asked by", "judged by", "approved by"), Paragraph(strings.Join(Cautions, " ")))
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
