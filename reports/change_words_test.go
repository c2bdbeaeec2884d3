package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Of each limit the condition is shown that decides; where all are decided alike that with the largest change, not the one where
// nothing was seen and the bound is that of the rows.
func TestAChangeIsShownWhereItTells(t *testing.T) {
	unseen := ChangeRequirement{Name: "fpga", Condition: "as written", Difference: Difference{Interval: Interval{Low: -1e-4, High: 6e-5}}, Verdict: "safe", TargetVerdict: "met"}
	better := ChangeRequirement{Name: "fpga", Condition: "harbour day", Difference: Difference{Value: -1.2e-3, Interval: Interval{Low: -1.3e-3, High: -1.1e-3}}, Verdict: "safe", TargetVerdict: "met"}
	shown := func(list ...ChangeRequirement) string {
		return Change{Requirements: append([]ChangeRequirement{{Name: "spot"}}, list...)}.worst()[1].Condition
	}
	assert.Equal(t, "harbour day", shown(unseen, better))
	assert.Equal(t, "harbour day", shown(better, unseen))
	open := unseen
	open.Condition, open.Verdict = "cold day", "undecided"
	assert.Equal(t, "cold day", shown(unseen, better, open), "what is not within the margin decides")
	missed := unseen
	missed.Condition, missed.TargetVerdict = "hot day", "not met"
	assert.Equal(t, "hot day", shown(unseen, better, missed))
	near := unseen
	near.Condition, near.After = "near", Estimate{Interval: Interval{High: 2e-4}}
	assert.Equal(t, "near", shown(unseen, near), "where nothing changes the one nearest to its target")
	informative := better
	informative.Informative = true
	assert.Equal(t, "as written", shown(informative, unseen))
}

// A difference that is open says what would decide it, and no column of the table is empty.
func TestAnOpenChangeSaysWhatWouldDecide(t *testing.T) {
	q := ChangeRequirement{Name: "spot", Label: "spot", Shown: Unit{Of: func(x float64) float64 { return x }}, Verdict: "undecided", Wanting: "knowledge",
		Difference: Difference{Value: 1.5e-4, Interval: Interval{Low: 5e-6, High: 3.6e-4}},
		Bound:      &Estimate{Value: 8.7e-4, Interval: Interval{Low: 7.5e-4, High: 1e-3}}, BoundOfAfter: true}
	left := 0.38
	c := Change{MarginKind: "absolute", MarginValue: 5e-4, Confidence: 0.95, Chance: 0.9, Requirements: []ChangeRequirement{q},
		Needed: []Needed{{Inputs: []string{"contact.factor", "flatness"}, SpreadLeft: &left}}}
	assert.Contains(t, c.open(), "at most +8.7e-4 (+7.5e-4 to +1.00e-3) with 95 % confidence; that is what exceeds after it")
	assert.Contains(t, c.open(), "No number of cards decides that; knowing more would (chance 90 %): contact.factor and 1 more, each to 38 % of its present spread.")
	assert.Contains(t, c.requirements(true).heads(), notKnown)

	c.Requirements[0].Bound, c.Requirements[0].Wanting, c.Needed, c.KnowingMore = nil, "cards", nil, []string{"contact.factor"}
	assert.Contains(t, c.open(), "A finer [verdict] accuracy takes more cards; knowing more may, first of all contact.factor.")
	assert.NotContains(t, c.requirements(true).heads(), notKnown)
	assert.Contains(t, c.requirements(false).heads(), notKnown, "files keep their columns")
}

// A comparison says first how each design stands by its targets: a place in the ranking is by one limit alone.
func TestAComparisonSaysHowTheDesignsStand(t *testing.T) {
	decided := func(verdict, label, condition string) CompareDesign {
		return CompareDesign{Results: Run{Decision: &Decision{Verdict: verdict, Requirement: "x", Label: label, Condition: condition}}}
	}
	c := Compare{Designs: []CompareDesign{
		decided("undecided", "fpga above 95 °C", "harbour day"), decided("met", "spot above 72 °C", "as written"), decided("met", "fpga above 95 °C", "harbour day"),
		decided("not met", "spot above 72 °C", "harbour day"), decided("undecided", "fpga above 95 °C", "harbour day"),
	}}
	assert.Equal(t, "Against their targets, in every condition: B and C met; A and E undecided (fpga above 95 °C, harbour day); D not met (spot above 72 °C, harbour day).", c.targets())
	c.Designs[0].Results.Decision.LeftOut = []string{"as written", "cold day"}
	assert.Contains(t, c.targets(), "in harbour day alone (the study as written and 1 other condition left out): ")
	c.Designs = []CompareDesign{{}}
	assert.Empty(t, c.targets())
}

// A verdict of a part of the mission says which and how much of it is left out.
func TestAVerdictOfAPartSaysSo(t *testing.T) {
	d := Decision{Verdict: "met", Requirement: "spot", Label: "spot above 72 °C", Condition: "as written", Target: 1e-3, LeftOut: []string{"harbour day"}}
	assert.Contains(t, string(d.Sentence()), "MET, in the study as written alone (1 condition of its mission left out): every target holds; ")
	d.LeftOut = nil
	assert.Contains(t, string(d.Sentence()), "MET: every target holds; ")
	d.Condition, d.LeftOut = "harbour day", []string{"as written"}
	assert.Contains(t, string(d.Sentence()), "MET, in harbour day alone (the study as written left out): every target holds; ")
	c := Change{Verdict: "safe", DifferenceVerdict: "safe", TargetVerdict: "met", Margin: "+5e-4", AfterDecision: &d}
	assert.Contains(t, c.headline(), "SAFE, in harbour day alone (the study as written left out): every difference")
	assert.NotContains(t, Torque{Verdict: "yes", Mission: &TorqueMission{}, Shown: answered().Shown, Other: answered().Other, Checked: []TorqueChecked{{Decision: d}}}.headline(), "every condition")
}

// A change whose tool reaches beyond what the clamp maker allows is told with it, in the record too, and one whose torque is not allowed
// is not met for that.
func TestAChangeOfTheToolKeepsToTheMaker(t *testing.T) {
	after := Decision{Verdict: "met", Requirement: "spot", Label: "spot above 72 °C", Condition: "as written", Target: 1e-3}
	c := Change{Verdict: "safe", DifferenceVerdict: "safe", TargetVerdict: "met", Margin: "+5e-4", Deciding: -1, AfterDecision: &after, Same: true,
		AboveMost: &ScrewsBeyond{Limit: 0.8, Share: 1.2e-3, Before: new(float64), LimitText: "0.8 N·m", Reach: "0.845 N·m"}}
	const caution = "CAUTION: after the change 0.12 % of the screws get more than the clamp maker's most, 0.8 N·m, by the tool's scatter as the study states it, up to 0.845 N·m (before it none): one is too many."
	assert.Contains(t, c.headline(), "SAFE, with a caution: ")
	assert.Contains(t, c.Record().Blocks, Block(Paragraph(caution)))
	assert.Contains(t, c.inShort(), "SAFE, with a caution")
	after.Verdict, after.ByTargets, after.NotAllowed = "not met", "met", "the screw's torque of 0.95 N·m is more than the clamp maker allows, torque.most = 0.8 N·m"
	c.Verdict, c.TargetVerdict = "not safe", "not met"
	assert.Contains(t, c.headline(), "after the change the screw's torque of 0.95 N·m is more than the clamp maker allows")
	assert.NotContains(t, c.headline(), "caution")
}

// How far a tolerance may go is by the targets, and what is asked of a change beside them is said.
func TestALooserToleranceIsByTheTargetsAlone(t *testing.T) {
	r := Loosen{Decision: Decision{Verdict: "met"}, ChangeMargin: 5e-4}
	assert.Contains(t, r.answer(), "by the targets alone: a change that somebody asks for is also held against its margin, here +5e-4, and that may allow less (clampodds change).")
	r.Decision.Verdict = "not met"
	assert.NotContains(t, r.answer(), "margin")
}

// A verdict that is clear before its number is says so, with the end that decides in place of digits that mean nothing.
func TestACoarseNumberSaysSo(t *testing.T) {
	d := Decision{Verdict: "met", Requirement: "spot", Label: "spot above 72 °C", Condition: "harbour day", Target: 2e-3, PerCard: Estimate{Value: 4.2e-4, Interval: Interval{Low: 6.6e-5, High: 1.36e-3}}}
	assert.Contains(t, string(d.Sentence()), "4.2e-4 (6.6e-5 to 1.36e-3) per card, at most 1.4 in 1000; target 2e-3. That is coarse: so few cards decide, and no more were drawn (run --until spot=5% --condition \"harbour day\" tells it closely).")
	d.Condition = `5" pipe, $1`
	assert.Contains(t, string(d.Sentence()), `spot=5% --condition '5" pipe, $1' tells`, "a shell would take it apart in double quotes")
	d.Counted = true
	assert.NotContains(t, string(d.Sentence()), "coarse", "it was done")
	d.Counted, d.Condition = false, asWritten
	assert.Contains(t, string(d.Sentence()), "spot=5% tells it closely")
	d.Verdict, d.PerCard = "not met", Estimate{Value: 6e-3, Interval: Interval{Low: 3e-3, High: 1e-2}}
	assert.Contains(t, string(d.Sentence()), " per card, at least 3 in 1000; target 2e-3. That is coarse")
	d.PerCard.Low, d.PerCard.High = 5e-3, 7e-3
	assert.Contains(t, string(d.Sentence()), ", 6 in 1000; target 2e-3.")
	assert.NotContains(t, string(d.Sentence()), "coarse")
	d.Verdict, d.PerCard.High = "undecided", 1e-2
	assert.NotContains(t, string(d.Sentence()), "coarse", "more cards were drawn, and it is open all the same")
}

// The only difference is the change: its number stands once.
func TestASingleDifferenceIsNotTakenApart(t *testing.T) {
	c := Change{Requirements: []ChangeRequirement{{Name: "spot", Label: "spot", Shown: Unit{Of: func(si float64) float64 { return si }}}}, Differences: make([]StudyDifference, 1), Steps: make([]ChangeStep, 2)}
	assert.Nil(t, c.steps())
	assert.NotContains(t, c.basis(), "single differences")
	c.Differences = make([]StudyDifference, 2)
	assert.NotNil(t, c.steps())
	assert.Contains(t, c.basis(), "single differences")
}

// Under a margin in per cent what was not seen before the change stays open, and the table says what would not.
func TestARelativeMarginSaysWhatItCannotDecide(t *testing.T) {
	q := ChangeRequirement{Name: "spot", Label: "spot", Shown: Unit{Of: func(x float64) float64 { return x }}, Verdict: "undecided", Difference: Difference{Interval: Interval{Low: -1e-4, High: 1e-4}}}
	const told = "A limit that no card of record exceeds before the change has no share of that: under a margin in per cent it stays undecided. An absolute margin decides it."
	notes := func(kind string, before float64) []string {
		q.Before.Value = before
		return Change{MarginKind: kind, MarginValue: 0.1, Confidence: 0.95, Requirements: []ChangeRequirement{q}}.requirements(true).Notes
	}
	assert.Contains(t, notes("relative", 0), told)
	assert.NotContains(t, notes("relative", 1e-3), told)
	assert.NotContains(t, notes("absolute", 0), told)
}
