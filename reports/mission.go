package reports

import (
	"fmt"
	"slices"
)

// Mission is how often each limit is exceeded under the conditions of a mission,
// all on the same draws.
type Mission struct {
	Members []MissionMember `json:"members"`
	// Cards, in so many chassis, is how many were counted under each condition that is only shown, and for what
	// is exceeded ever: the first of the run's. What is judged is of the numbers of record.
	Cards        int64                `json:"cards"`
	Chassis      int64                `json:"chassis"`
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
	// Worst is the condition exceeded most often; empty when none was seen. Deciding is the judged one that the
	// verdict rests on, empty where all are alike or there is no target.
	Worst    string `json:"worst"`
	Deciding string `json:"deciding,omitempty"`
	// TimeWeighted is the probability at a moment of the mission chosen at random;
	// null without shares. No target is set for it.
	TimeWeighted *Estimate `json:"time_weighted"`
	// Ever are cards that exceed the limit in at least one condition.
	Ever           Estimate `json:"ever"`
	EverPerChassis Estimate `json:"ever_per_chassis"`
	// Verdict is met when the target is met as written and in every condition that is judged.
	Verdict string `json:"verdict"`
}

// Judged is a probability with its verdict.
type Judged struct {
	PerCard Estimate `json:"per_card"`
	Verdict string   `json:"verdict"`
}

// Table lists, limit by limit, the conditions, their mean over time and the cards
// that ever exceed it. A limit that was not seen exceeded in any of them takes one row.
func (m Mission) Table() *Table {
	t := m.table("mission")
	for _, q := range m.Requirements {
		t.add(q)
	}
	t.dropEmpty("time")
	t.note(append(t.level(), t.notes()...)...)
	return t.Table
}

// missionTable is one on the way, with what its rows are.
type missionTable struct {
	*Table
	of                    Mission
	shown, weighted, ever bool
	record, counted       []Estimate
}

func (m Mission) table(key string) *missionTable {
	return &missionTable{of: m, Table: newTable(key, "Under the conditions of the mission: probability per card",
		texts("requirement", "condition"), numbers("time", "probability", "low", "high", "target"), texts("verdict"))}
}

// add adds the rows of a limit.
func (t *missionTable) add(q MissionRequirement) {
	m, target, first := t.of, targetText(q.Target), q.Label
	row := func(condition, time string, e Estimate, target, verdict string) {
		t.AddRow(append(append([]string{first, condition, time}, probabilityCells(e)...), target, verdict)...)
		t.seen(e, q.Target > 0 && verdict != "" && verdict != shownOnly)
		first = ""
	}
	for i, c := range q.listed() {
		name := m.Members[i].Name
		if name == q.Worst {
			name += " (worst)"
		}
		verdict := c.Verdict
		if m.Members[i].Informative {
			verdict = shownOnly
		}
		t.shown = t.shown || m.Members[i].Informative || !(q.Target > 0)
		row(name, m.Members[i].time(), c.PerCard, target, verdict)
	}
	if condition, worst := m.inOneRow(q); first != "" && worst != nil {
		t.shown = t.shown || !(q.Target > 0)
		row(condition, "", *worst, target, q.Verdict)
	}
	if q.TimeWeighted != nil && q.Worst != "" {
		t.weighted = true
		row("weighted by time", "100 %", *q.TimeWeighted, "", "")
	}
	if q.Worst != "" || q.Ever.Value > 0 {
		t.ever = true
		row("ever, in any of them", "", q.Ever, "", "")
	}
}

// shownOnly stands in the place of a verdict.
const shownOnly = "shown only"

// seen notes a probability that is in the table.
func (t *missionTable) seen(e Estimate, ofRecord bool) {
	if ofRecord {
		t.record = append(t.record, e)
	} else {
		t.counted = append(t.counted, e)
	}
}

// level says at which level the bounds of what was not seen hold.
func (t *missionTable) level() []string {
	if text := boundsOfNone(t.record, t.counted); text != "" {
		return []string{text}
	}
	return nil
}

// listed are the conditions, none where the limit was not seen exceeded in any.
func (q MissionRequirement) listed() []Judged {
	if q.Worst == "" {
		return nil
	}
	return q.Conditions
}

// inOneRow is the condition that stands for all that are judged, or for all where there is no target, in words, and its
// probability.
func (m Mission) inOneRow(q MissionRequirement) (condition string, of *Estimate) {
	at := slices.IndexFunc(m.Members, func(one MissionMember) bool { return one.Name == q.Deciding })
	named := at >= 0
	for i, c := range q.Conditions {
		if !named && !m.Members[i].Informative && (at < 0 || c.PerCard.High > q.Conditions[at].PerCard.High) {
			at = i // all are alike, or none of these decides
		}
	}
	if at < 0 {
		return "", nil
	}
	of = &q.Conditions[at].PerCard
	switch {
	case of.Value > 0:
		return m.Members[at].Name + " (worst judged)", of
	case named:
		return "in each, nearest " + q.Deciding, of
	}
	return "in each", of
}

// notes explain the rows that are there.
func (t *missionTable) notes() (list []string) {
	m := t.of
	on := fmt.Sprintf("counted on %d cards", m.Cards)
	if 0 < m.Chassis && m.Chassis < m.Cards {
		on += fmt.Sprintf(" in %d chassis", m.Chassis)
	}
	if t.shown {
		list = append(list, "shown only, or without a target: "+on+".")
	}
	if t.weighted {
		list = append(list, "weighted by time: at a moment of the mission chosen at random; its interval, the weighted sum of the others', is wider than necessary. No target is set for it.")
	}
	if t.ever {
		list = append(list, "ever: cards that exceed the limit in at least one condition, so at least as many as in the worst one, "+on+". No target is set for it: the study's holds for each condition.")
	}
	return list
}

func (m MissionMember) time() string {
	if !(m.Share > 0) {
		return ""
	}
	return shareOfTime(m.Share)
}

// shareOfTime is the share of the mission's time that a condition takes.
func shareOfTime(share float64) string { return Plain(100*share) + " %" }
