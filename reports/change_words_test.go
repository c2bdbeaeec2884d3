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
