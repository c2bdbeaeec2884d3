package main

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/reports"
)

// missioned is what the tests read of the JSON of a run.
type missioned struct {
	Mission *struct {
		Members []struct {
			Name    string
			Share   *float64
			Changed []string
		}
		Requirements []struct {
			Name, Worst, Verdict string
			Conditions           []judgedJSON
			TimeWeighted         *estimateJSON `json:"time_weighted"`
			Ever                 estimateJSON
		}
	}
}

type judgedJSON struct {
	PerCard estimateJSON `json:"per_card"`
	Verdict string
}

type estimateJSON struct{ Value, Low, High float64 }

func (e estimateJSON) holds(t *testing.T, want float64) {
	t.Helper()
	assert.True(t, e.Low <= want && want <= e.High, "%v in %v … %v", want, e.Low, e.High)
}

// fitCard is the probability that a card of the fit study does not hold, its
// slots wider by shift mm.
func fitCard(shift float64) float64 {
	edge := dist.NormalSurvival((fitTravel - fitMean - shift) / math.Sqrt(slotSD*slotSD+flangeSD*flangeSD+clampSD*clampSD))
	return edge * (2 - edge)
}

const shiftedSlots = `
[[condition]]
name = "worn"
share = 0.25
replace = { "slot.width" = { shape = "normal", mean = "8.02 mm", sd = "0.033333333333333 mm" } }
[[condition]]
name = "cold"
share = 0.15
replace = { "slot.width" = { shape = "normal", mean = "7.97 mm", sd = "0.033333333333333 mm" } }`

// The linear study has closed forms for each condition, their mean over time,
// and for ever: wider slots exceed whenever narrower ones do, on common draws. 95 %
// each, with a fixed seed.
func TestConditionsInClosedForm(t *testing.T) {
	long(t)
	got := invoke("run", fitStudy(t, 0.5, shiftedSlots), "--samples", "12000", "--seed", "2", "--format", "json", "--quiet", "--no-knowledge")
	require.Contains(t, []int{exitDone, exitUndecided}, got.code, got.stderr)
	var found missioned
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &found))
	m := found.Mission
	require.Len(t, m.Members, 3)
	assert.Equal(t, []string{"as written", "worn", "cold"}, []string{m.Members[0].Name, m.Members[1].Name, m.Members[2].Name})
	assert.InDelta(t, 0.6, *m.Members[0].Share, 1e-15, "one rounding")
	assert.Equal(t, []string{"slot.width"}, m.Members[1].Changed)
	q := m.Requirements[0]
	require.Equal(t, "spot", q.Name)
	want := []float64{fitCard(0), fitCard(0.02), fitCard(-0.03)}
	mean, observed := 0.0, 0.0
	for i, p := range want {
		q.Conditions[i].PerCard.holds(t, p)
		mean += *m.Members[i].Share * p
		observed += *m.Members[i].Share * q.Conditions[i].PerCard.Value
	}
	q.TimeWeighted.holds(t, mean)
	assert.InEpsilon(t, observed, q.TimeWeighted.Value, 1e-12)
	assert.Equal(t, "worn", q.Worst)
	q.Ever.holds(t, want[1])
	assert.Equal(t, "met", q.Verdict)

	without := invoke("run", fitStudy(t, 0.5, shiftedSlots), "--samples", "600", "--format", "json", "--quiet", "--no-conditions")
	found = missioned{}
	require.NoError(t, json.Unmarshal([]byte(without.stdout), &found))
	assert.Nil(t, found.Mission)
}

// The conditions take all of the time and meet the target; the study as written, which has no row among them, does not, and that is the
// verdict of the limit in the mission too.
func TestStudyAsWrittenIsJudgedWhereConditionsTakeAllTheTime(t *testing.T) {
	condition := `
[[condition]]
name = "cold"
share = 1
replace = { "slot.width" = { shape = "normal", mean = "7.9 mm", sd = "0.033333333333333 mm" } }`
	require.Greater(t, fitCard(0), 2e-3)
	require.Less(t, fitCard(-0.1), 1e-5)
	got := invoke("run", fitStudy(t, 5e-4, condition), "--samples", "600", "--format", "json", "--quiet", "--no-knowledge")
	assert.Equal(t, exitNotMet, got.code)
	var found missioned
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &found))
	require.Len(t, found.Mission.Members, 1)
	assert.Equal(t, "met", found.Mission.Requirements[0].Conditions[0].Verdict)
	assert.Equal(t, "not met", found.Mission.Requirements[0].Verdict)
}

// As written the target is met; in one condition it is not, and that decides.
func TestAConditionThatMissesDecidesTheExitCode(t *testing.T) {
	long(t)
	conditions := `
[[condition]]
name = "worn"
replace = { "slot.width" = { shape = "normal", mean = "8.1 mm", sd = "0.033333333333333 mm" } }`
	require.Less(t, fitCard(0), 0.02)
	require.Greater(t, fitCard(0.1), 0.7)
	path := fitStudy(t, 0.1, conditions)
	got := invoke("run", path, "--samples", "1200", "--quiet", "--no-knowledge")
	assert.Equal(t, exitNotMet, got.code)
	assert.NotEqual(t, exitNotMet, invoke("run", path, "--samples", "1200", "--quiet", "--no-conditions", "--no-knowledge").code)

	assert.Contains(t, got.stdout, "worn (worst)")
	assert.Contains(t, got.stdout, "as written")
	assert.NotContains(t, got.stdout, "100 %", "without shares nothing is weighted by time")
}

// A command that looks at one condition says so and finds what run finds for it:
// the same cards, the same draws.
func TestOneConditionInPlaceOfTheStudy(t *testing.T) {
	long(t)
	path := fitStudy(t, 0.5, shiftedSlots)
	whole := invoke("run", path, "--samples", "6000", "--format", "json", "--quiet", "--no-knowledge")
	var mission missioned
	require.NoError(t, json.Unmarshal([]byte(whole.stdout), &mission))
	one := invoke("run", path, "--samples", "6000", "--format", "json", "--quiet", "--no-knowledge", "--condition", "worn")
	var run reports.Run
	require.NoError(t, json.Unmarshal([]byte(one.stdout), &run))
	assert.Nil(t, run.Mission)
	assert.Equal(t, "worn", run.Provenance.Condition)
	assert.InDelta(t, mission.Mission.Requirements[0].Conditions[1].PerCard.Value, run.Requirements[0].PerCard.Value, 1e-15, "one rounding")

	unknown := invoke("torque", path, "--condition", "new")
	assert.Equal(t, exitUsage, unknown.code)
	assert.Contains(t, unknown.stderr, `there is no condition "new"; there are: worn, cold`)
}
