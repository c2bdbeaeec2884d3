package reports

import "fmt"

// Mission is how often each limit is exceeded under the conditions of a mission,
// all on the same draws.
type Mission struct {
	Members []MissionMember `json:"members"`
	// Cards is how many were counted under each condition that is only shown, and for what
	// is exceeded ever: the first of the run's. What is judged is of the numbers of record.
	Cards        int64                `json:"cards"`
	Requirements []MissionRequirement `json:"requirements"`
}

// MissionMember is one condition.
type MissionMember struct {
	Name string `json:"name"`
	// Share is that of the mission's time; null when the study gives none.
	Share float64 `json:"share"`
	// Informative conditions are shown and not judged.
	Informative bool `json:"informative,omitempty"`
	// Changed are the inputs that differ from the study as written.
	Changed []string `json:"changed,omitempty"`
}

// MissionRequirement is one limit over the mission.
type MissionRequirement struct {
	Name   string  `json:"name"`
	Label  string  `json:"label"`
	Target float64 `json:"target"` // null without a target
	// Conditions are in the order of the members.
	Conditions []Judged `json:"conditions"`
	// Worst is the condition exceeded most often; empty when none was seen.
	Worst string `json:"worst"`
	// TimeWeighted is the probability at a moment of the mission chosen at random;
	// null without shares.
	TimeWeighted *Judged `json:"time_weighted"`
	// Ever are cards that exceed the limit in at least one condition.
	Ever           Estimate `json:"ever"`
	EverPerChassis Estimate `json:"ever_per_chassis"`
	// Verdict is met when the target is met in every condition.
	Verdict string `json:"verdict"`
}

// Judged is a probability with its verdict.
type Judged struct {
	PerCard Estimate `json:"per_card"`
	Verdict string   `json:"verdict"`
}

// Table lists, limit by limit, the conditions, their mean over time and the cards
// that ever exceed it. A limit that was not seen exceeded takes one row.
func (m Mission) Table() *Table {
	t := newTable("mission", "Under the conditions of the mission: probability per card",
		texts("requirement", "condition"), numbers("time", "probability", "low", "high", "target"), texts("verdict"))
	for _, q := range m.Requirements {
		target := targetText(q.Target)
		row := func(first, condition, time string, e Estimate, target, verdict string) {
			t.AddRow(append(append([]string{first, condition, time}, probabilityCells(e)...), target, verdict)...)
		}
		if q.Worst == "" {
			row(q.Label, "in any of them", "", q.Ever, target, q.Verdict)
			continue
		}
		first := q.Label
		for i, c := range q.Conditions {
			name := m.Members[i].Name
			if name == q.Worst {
				name += " (worst)"
			}
			verdict := c.Verdict
			if m.Members[i].Informative {
				verdict = "shown only"
			}
			row(first, name, m.Members[i].time(), c.PerCard, target, verdict)
			first = ""
		}
		if q.TimeWeighted != nil {
			row("", "weighted by time", "100 %", q.TimeWeighted.PerCard, target, q.TimeWeighted.Verdict)
		}
		row("", "ever, in any of them", "", q.Ever, "", "")
	}
	t.note(fmt.Sprintf("shown only, and ever: counted on %d cards. ", m.Cards) + "weighted by time: at a moment chosen at random; its interval is the weighted sum of the others', wider than it need be. ever: cards that exceed the limit in at least one condition, no less than in the worst one. No target is set for it: the study's holds for each condition.")
	return t
}

func (m MissionMember) time() string {
	if !(m.Share > 0) {
		return ""
	}
	return shareOfTime(m.Share)
}

// shareOfTime is the share of the mission's time that a condition takes.
func shareOfTime(share float64) string { return Plain(100*share) + " %" }
