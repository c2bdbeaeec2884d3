package reports

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/sim"
)

// missionOf has three conditions, one of them only shown, and what was seen in each of so many cards, 0 of them exceeding in a
// row of its own; the second is the one that decides.
func missionOf(target float64, shares bool, counts ...int64) Mission {
	q := MissionRequirement{Name: "spot", Label: "spot", Target: target, Verdict: "met", Deciding: "hot", Ever: sim.Counted(2, 15000, 0.95)}
	m := Mission{Cards: 15000, Chassis: 3750}
	for i, name := range []string{"as written", "hot", "storage"} {
		member := MissionMember{Name: name, Share: math.NaN(), Informative: name == "storage"}
		if shares {
			member.Share = 0.5
		}
		m.Members = append(m.Members, member)
		q.Conditions = append(q.Conditions, Judged{PerCard: sim.Counted(counts[i], 32768, 0.975), Verdict: "met"})
		if counts[i] > 0 {
			q.Worst = name
		}
	}
	m.Requirements = []MissionRequirement{q}
	return m
}

// A limit that no card of record exceeds in any condition is one row with the bound of these cards, the same in a report; cards
// that exceed it in any condition are another, without target and verdict.
func TestMissionTablePrintsOneNumberForOneQuantity(t *testing.T) {
	m := missionOf(1e-3, false, 0, 0, 0)
	table, brief := m.Table(), m.Brief()
	row := []string{"spot", "in each, nearest hot", "none of 32768", "0", "≤ 1.13e-4", "1e-3", "met"}
	assert.Equal(t, row, table.Rows[0])
	assert.Equal(t, [][]string{row}, brief.Rows)
	level := []string{"none of N ≤: a bound at level 97.5 %."}
	assert.Equal(t, level, brief.Notes)
	assert.Equal(t, []string{"", "ever, in any of them"}, table.Rows[1][:2])
	assert.Equal(t, []string{"", ""}, table.Rows[1][5:], "no target is set for it")
	assert.Len(t, table.Notes, 2)
	assert.Contains(t, table.Notes[1], "15000 cards in 3750 chassis")
	assert.Negative(t, table.column("time"), "nobody gives a share")

	m.Requirements[0].Ever = sim.Counted(0, 15000, 0.95)
	m.Requirements[0].Deciding = ""
	table = m.Table()
	assert.Len(t, table.Rows, 1)
	assert.Equal(t, "in each", table.Rows[0][1])
	assert.Equal(t, level, table.Notes, "none of rows that are not there")
}

// In a report a limit that is met is one row, without the time; the rows of others keep to the same columns, also where
// only those that are met were seen. (A chassis has such limits without a target; the report of one ended in a panic.)
func TestBriefMissionHasRowsOfOneWidth(t *testing.T) {
	for _, seen := range []int64{0, 3} {
		m := missionOf(1e-3, true, 0, 3, 0)
		other := missionOf(0, true, 0, seen, 0).Requirements[0]
		other.Verdict = "no target"
		m.Requirements = append(m.Requirements, other)
		brief := m.Brief()
		assert.Greater(t, len(brief.Rows), 1)
		for _, row := range brief.Rows {
			assert.Len(t, row, len(brief.Columns))
		}
		assert.Equal(t, seen > 0, brief.column("time") >= 0)
	}
}

// What was seen is listed condition by condition, each word of the notes with its row.
func TestMissionTableExplainsItsRowsAlone(t *testing.T) {
	m := missionOf(1e-3, true, 0, 3, 0)
	weighted := sim.Counted(1, 32768, 0.975)
	m.Requirements[0].TimeWeighted = &weighted
	table := m.Table()
	assert.Len(t, table.Rows, 5)
	assert.Equal(t, "hot (worst)", table.Rows[1][1])
	assert.Equal(t, "shown only", table.Rows[2][len(table.Rows[2])-1])
	assert.Equal(t, "50 %", table.Rows[0][2])
	assert.Equal(t, []string{"", ""}, table.Rows[3][len(table.Rows[3])-2:], "a mean over time has no target, so no verdict")
	notes := strings.Join(table.Notes, "\n")
	for _, word := range []string{"shown only", "weighted by time", "ever"} {
		assert.Contains(t, notes, word)
	}
	m.Members, m.Requirements[0].Conditions, m.Requirements[0].TimeWeighted = m.Members[:2], m.Requirements[0].Conditions[:2], nil
	notes = strings.Join(m.Table().Notes, "\n")
	assert.NotContains(t, notes, "shown only")
	assert.NotContains(t, notes, "weighted")
	assert.Equal(t, "hot (worst judged)", m.Brief().Rows[0][1])
}

// The footnotes of a run speak of a chassis, and of what is not known, where these have rows.
func TestNotesOfARunAreOfWhatItHas(t *testing.T) {
	r := Run{Decision: &Decision{Judged: 1}, Requirements: []Requirement{{Name: "spot", Label: "spot", Shown: Unit{Of: func(si float64) float64 { return si }}, PerCard: sim.Counted(0, 32768, 0.975), PerChassis: sim.Counted(8, 15000, 0.95)}}}
	r.Provenance.CardsPerChassis = 1
	assert.Equal(t, "none of N ≤: a bound at level 97.5 %.", r.boundsOfNone(false), "without a target all are counted")
	r.Requirements[0].Target = 1e-3
	r.Requirements = append(r.Requirements, Requirement{PerCard: sim.Counted(0, 60000, 0.95)})
	assert.Equal(t, "none of N ≤: a bound, of record at level 97.5 %, counted at 95 %.", r.boundsOfNone(false))
	r.Requirements = r.Requirements[:1]
	assert.Equal(t, "Probability of exceeding each limit", r.requirements().Caption)
	r.Mission = &Mission{}
	assert.Equal(t, "Probability of exceeding each limit, as written", r.requirements().Caption, "the mission has a table of its own, and may have another verdict")
	notes := strings.Join(r.requirements().Notes, "\n")
	assert.NotContains(t, notes, "chassis")
	assert.NotContains(t, notes, "not known")
	assert.Contains(t, notes, "numbers of record", "the cards of the run are others")
	assert.Equal(t, "cards of this run above 0: none of 32768", r.SoFar(), "the progress says what it counts")
	r.Provenance.CardsPerChassis, r.Knowledge = 4, make([]Unknown, 1)
	table := r.requirements()
	notes = strings.Join(table.Notes, "\n")
	assert.Contains(t, notes, "chassis: at least one of its cards")
	assert.Contains(t, notes, "keeps lack of knowledge apart")
	assert.Equal(t, "none of 32768", table.Rows[0][3])
	assert.Equal(t, "5.3e-4", table.Rows[1][3])
}

// A verdict on what was not seen says of how many cards.
func TestNoneSeenSaysOfHowMany(t *testing.T) {
	d := Decision{Verdict: "met", Requirement: "spot", Label: "spot above 85 °C", Condition: "hot", Alike: []string{"high"}, Target: 1e-3, Judged: 2, PerCard: sim.Counted(0, 32768, 0.975)}
	text := string(d.Sentence())
	assert.Contains(t, text, "hot (the same in high): none of 32768 cards of record (≤ 1.13e-4); target 1e-3.")
	assert.Contains(t, text, "the nearest is told by the highest values")
	d.Judged = 1
	assert.NotContains(t, string(d.Sentence()), "nearest is told")
	d.Requirement = "any/spot"
	assert.Contains(t, string(d.Sentence()), "none of 32768 chassis of record")
	assert.Equal(t, "none seen", probabilityCells(Estimate{Interval: Interval{High: 1e-4}})[0], "where nobody counted")
}
