package main

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports"
)

// ranJSON runs a study and reads its result.
func ranJSON(t *testing.T, study string, args ...string) (reports.Run, int) {
	t.Helper()
	got := invoke(append([]string{"run", study, "--quiet", "--format", "json", "--no-conditions"}, args...)...)
	require.NotContains(t, []int{exitUsage, exitFailure}, got.code, got.stderr)
	var r reports.Run
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	return r, got.code
}

// The probability comes from rows of its own; the run beside it stays as it is.
func TestUntilAProbabilityIsKnown(t *testing.T) {
	rare := changed(t, `spot      = { max = "85 degC"`, `spot      = { max = "88.5 degC"`)
	plain, _ := ranJSON(t, rare, "--samples", "6000", "--no-knowledge")
	r, code := ranJSON(t, rare, "--samples", "6000", "--no-knowledge", "--until", "spot=20%")
	require.NotNil(t, r.Until)
	assert.True(t, r.Until.Reached)
	assert.LessOrEqual(t, r.Until.Width, 0.2)
	edge := r.Requirements[0]
	require.NotNil(t, edge.Counted)
	assert.InEpsilon(t, r.Until.Width, (edge.Counted.High-edge.Counted.Low)/2/edge.Counted.Value, 1e-12)
	assert.Equal(t, plain.Requirements[0].PerCard, edge.PerCard, "the number of record does not hang on it")
	assert.Equal(t, "met", edge.Verdict)
	assert.Equal(t, exitDone, code, "the decision does not hang on the cards of the run")
	assert.Equal(t, plain.Requirements[0].PerChassis, edge.PerChassis)
	assert.Equal(t, plain.Requirements[1:], r.Requirements[1:])
	assert.Equal(t, plain.Temperatures, r.Temperatures)
}

// With a plan named, the run itself goes on, and is the run of that size.
func TestUntilByAPlanIsARunOfThatSize(t *testing.T) {
	hot := shortClamp(t, frozen, `limits.spot = { max = "82 degC", target = 2e-3 }`)
	for _, c := range []struct{ goal, plan string }{{"spot=40%", "random"}, {"P90=0.3K", "latin-hypercube"}, {"P50:edge.left=0.3 delta degC", "random"}, {"digits=1", "random"}} {
		r, _ := ranJSON(t, hot, "--no-knowledge", "--until", c.goal, "--plan", c.plan)
		require.True(t, r.Until.Reached, c.goal)
		assert.Equal(t, r.Provenance.Samples, r.Until.Rows)
		if c.plan != "random" {
			continue // its blocks depend on the size
		}
		direct, _ := ranJSON(t, hot, "--no-knowledge", "--samples", json.Number(mustMarshal(t, r.Until.Rows)).String(), "--plan", c.plan)
		r.Until, r.Warnings, direct.Warnings = nil, nil, nil
		assert.Equal(t, direct, r, c.goal)
	}
}

func mustMarshal(t *testing.T, v any) string {
	t.Helper()
	text, err := json.Marshal(v)
	require.NoError(t, err)
	return string(text)
}

func TestUntilSaysWhatTheCapLeaves(t *testing.T) {
	long(t)
	args := []string{"--no-knowledge", "--no-conditions", "--samples", "3000", "--until", "spot=2%", "--cap", "20000"}
	path := shortClamp(t, demo, "")
	r, _ := ranJSON(t, path, args...)
	assert.False(t, r.Until.Reached)
	assert.Less(t, r.Until.Rows, int64(21_000))
	assert.Greater(t, r.Until.Needed, float64(r.Until.Rows))
	got := invoke(append([]string{"run", path, "--quiet"}, args...)...)
	assert.Contains(t, got.stdout, "NOT REACHED: the probability per card of hottest spot of the edges above 85 °C")
}

func TestWrongGoalsAreRefused(t *testing.T) {
	for goal, want := range map[string]string{
		"spot":                  "in per cent of the probability expected",
		"spot=5K":               "in per cent of the probability expected",
		"spot=0%":               "in per cent of the probability expected",
		"spot=NaN%":             "in per cent of the probability expected",
		"slot=5%":               `sets no limit "slot"`,
		"P99=0.05":              "the unit is missing",
		"P99=1 N":               "no unit of",
		"P99=85 degC":           "is a temperature, expected a temperature difference",
		"P99=0K":                "--until P99=0K: a half-width above 0.001 K expected",
		"P100=1K":               "above P0 and below P100",
		"P99:nowhere=1K":        `no output "nowhere"`,
		"digits=3":              "must be 1 or 2",
		"digits=x":              "a number of digits expected",
		"digits:event.jammed=1": `no quantity "event.jammed"`,
	} {
		got := invoke("run", demo, "--quiet", "--until", goal)
		assert.Equal(t, exitUsage, got.code, goal)
		assert.Contains(t, got.stderr, want, goal)
	}
	got := invoke("run", demo, "--quiet", "--until", "P99=1K", "--cap", "100")
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "too few of them for an interval")
}

func TestLackOfKnowledgeIsKeptApart(t *testing.T) {
	long(t)
	hot := shortClamp(t, frozen, `wall.temperature = { shape = "normal", mean = "60 degC", sd = "1.5 K", per = "chassis" }
limits.spot = { max = "85 degC", target = 0.12 }`)
	args := []string{"run", hot, "--quiet", "--no-conditions", "--samples", "6000"}
	got := invoke(append(args, "--format", "json")...)
	var r reports.Run
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r), got.stderr)
	require.NotEmpty(t, r.Knowledge)
	u := r.Knowledge[0]
	assert.Equal(t, "spot", u.Name)
	assert.Equal(t, r.Requirements[0].PerCard, u.Mixed)
	assert.Contains(t, u.Inputs, "contact.factor")
	assert.Less(t, u.Median.Value, u.Mixed.Value, "a few unlucky states of knowledge make the mean")
	assert.Less(t, u.Mixed.Value, u.Below.Value)
	assert.LessOrEqual(t, u.Below.Low, u.Below.Value)
	assert.GreaterOrEqual(t, u.Below.High, u.Below.Value)
	for _, w := range r.Warnings {
		assert.NotEqual(t, "knowledge-disagrees", w.Code, w.Text)
	}
	assert.Contains(t, invoke(args...).stdout, "With lack of knowledge kept apart")
	assert.NotContains(t, invoke(append(args, "--no-knowledge")...).stdout, "lack of knowledge")
}
