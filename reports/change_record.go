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
	if len(c.Differences) > 0 {
		d.Add(c.differences())
	}
	d.Add(c.requirements(true), c.decisions())
	d.Add(Paragraph(c.basis()), c.signatures(), Paragraph(strings.Join(Cautions, " ")))
	return d
}

// studies say which were compared, and by what.
func (c Change) studies() *Table {
	t := &Table{Key: "studies", Caption: "What was compared", Columns: []Column{{Head: ""}, {Head: "before"}, {Head: "after"}}}
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
	t := &Table{
		Key: "decisions", Caption: "Each design against its targets, in every condition",
		Columns: []Column{{Head: "design"}, {Head: "verdict"}, {Head: "decided by"}, {Head: "per card"}, {Head: "with what is not known"}, {Head: "target", Number: true}},
	}
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

// signatures are left empty: the tool computes, people decide.
func (c Change) signatures() *Table {
	t := &Table{Key: "signatures", Caption: "Decided by people", Columns: []Column{{Head: "role"}, {Head: "name"}, {Head: "decision"}, {Head: "date"}, {Head: "signature"}}}
	for _, role := range []string{"asked by", "judged by", "approved by"} {
		t.AddRow(role, "", "", "", "")
	}
	return t
}
