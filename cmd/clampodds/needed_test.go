package main

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports"
)

const torques = root + "/testdata/studies/audit.csv"

// auditFit is the result of fit on the torque audit.
func auditFit(t *testing.T, more ...string) (reports.Fit, answer) {
	t.Helper()
	args := append([]string{"fit", torques, "--column", "torque", "--unit", "N*m", "--low", "0.6", "--family", "normal", "--bootstrap", "0"}, more...)
	got := invoke(append(args, "--format", "json")...)
	var r reports.Fit
	if got.stdout != "" {
		require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	}
	return r, invoke(args...)
}

// The audit shows 1.4e-6 for the next screw and, with confidence, 5.3e-6 at most.
func TestFitSaysHowManyReadingsDecide(t *testing.T) {
	for _, c := range []struct {
		target, verdict string
		code            int
		text            string
	}{
		{"1e-3", "met", exitDone, "MET under normal (given): parts below 0.6 N*m"},
		{"3e-6", "undecided", exitUndecided, " more readings would decide (chance 90 %)."},
		{"8e-7", "undecided", exitUndecided, "is within the target. Were it true, "},
		{"1e-11", "not met", exitNotMet, "NOT MET"},
	} {
		r, got := auditFit(t, "--target", c.target)
		assert.Equal(t, c.code, got.code, c.target)
		assert.Contains(t, got.stdout, c.text, c.target)
		assert.Equal(t, c.verdict, r.Beyond[0].Verdict)
		assert.Equal(t, c.verdict == "undecided", r.Beyond[0].More > 0 || r.Beyond[0].InAll > 0)
	}
	r, got := auditFit(t, "--target", "3e-6", "--chance", "0.9999")
	assert.Equal(t, exitUndecided, got.code)
	assert.Contains(t, got.stdout, "No number of readings that can be planned would decide (chance 99.99 %).")
	assert.Zero(t, r.Beyond[0].More, "so sure is nothing below a million readings")
	r, got = auditFit(t)
	assert.Equal(t, exitDone, got.code, "without a target nothing is judged")
	assert.Empty(t, r.Beyond[0].Verdict)
	for _, wrong := range [][]string{{"--target", "0.7"}, {"--target", "1e-3", "--chance", "1"}} {
		_, got := auditFit(t, wrong...)
		assert.Equal(t, exitUsage, got.code, wrong)
	}
	assert.Contains(t, invoke("fit", torques, "--column", "torque", "--unit", "N*m", "--target", "1e-3").stderr, "give --low or --high")
}

func TestFitPlansReadings(t *testing.T) {
	got := invoke("fit", "--plan-readings", "0.70,0.02", "--low", "0.6", "--high", "0.8", "--target", "1e-3", "--unit", "N*m", "--format", "json")
	require.Equal(t, exitDone, got.code, got.stderr)
	var p reports.ReadingsPlan
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &p))
	require.Len(t, p.Limits, 2)
	assert.Equal(t, p.Limits[0].Readings, p.Limits[1].Readings, "the limits lie alike")
	for _, wrong := range []struct {
		args []string
		want string
	}{
		{[]string{"--plan-readings", "0.70,0.02", "--low", "0.6"}, "needs --target"},
		{[]string{"--plan-readings", "0.70", "--low", "0.6", "--target", "1e-3"}, "as in 0.70,0.02"},
		{[]string{"--plan-readings", "0.70,0.1", "--low", "0.6", "--target", "1e-3"}, "more than 0.001 beyond the limit"},
		{[]string{"--plan-readings", "0.70,0.02", "--target", "1e-3"}, "give --low or --high"},
		{[]string{"--plan-readings", "0.70,0.02", "--low", "0.6", "--target", "1e-3", torques}, "usage"},
	} {
		got := invoke(append([]string{"fit"}, wrong.args...)...)
		assert.Equal(t, exitUsage, got.code, wrong.args)
		assert.Contains(t, got.stderr, wrong.want, wrong.args)
	}
}

// What is not known is the contact factor, or a torque of few readings.
func TestDecisionSaysWhatIsNeeded(t *testing.T) {
	long(t)
	decide := func(inputs, target string) (reports.Needed, string) {
		base := fewInputs(t, inputs)
		d, code, first := decidedBy(t, write(t, "wanting.toml", "extends = '"+absolute(t, base)+`'
limits.holding = { max = 1, target = 0.9 }
limits.spot = { max = "88.5 degC", target = `+target+` }
[[component]]
name = "correlator"
limit = { max = "400 degC", target = 0.9 }
[[component]]
name = "converter"
limit = { max = "400 degC", target = 0.9 }
`), "--no-conditions")
		require.Equal(t, []any{"undecided", "knowledge", exitUndecided}, []any{d.Verdict, d.Wanting, code}, first)
		require.NotEmpty(t, d.Needed)
		return d.Needed[0], first
	}
	n, first := decide("", "0.03")
	assert.Equal(t, []string{"contact.factor"}, n.Inputs)
	assert.Greater(t, n.Share, 0.95)
	require.NotNil(t, n.SpreadLeft)
	require.NotNil(t, n.Rig)
	assert.Positive(t, n.Rig.Lots*n.Rig.Cards)
	assert.InDelta(t, 0.5, n.Rig.OfCard+n.Rig.OfLot, 0.5, "shares")
	assert.Contains(t, first, "No number of cards decides that; knowing more would (chance 90 %): contact.factor to ")
	assert.Contains(t, first, " (rig test: ")

	n, first = decide(`
screw.torque = { shape = "normal", mean = "0.50 N*m", sd = "0.06 N*m", readings = 6 }
contact.factor = 1
`, "0.02")
	assert.Equal(t, []string{"screw.torque"}, n.Inputs)
	assert.Equal(t, 6, n.Readings)
	assert.Positive(t, n.More)
	assert.Contains(t, first, " more readings of screw.torque")
}

// A curve that meets the target shows nothing where the readings leave the curve itself open. For the audit a Weibull curve is
// about as likely as the normal one and gives 9.2e-4 as fitted, exp(-(0.6/0.71099)^41.165) with the parameters of a general-purpose
// library (SciPy 1.10.1, weibull_min.fit with floc=0), so that the next screw is beyond with more than 1e-3.
func TestFitIsNotMetByOneCurveOfSeveral(t *testing.T) {
	of := func(rows, code string, more ...string) *reports.Doubt {
		args := append([]string{"fit", write(t, "d.csv", rows), "--target", "1e-3", "--bootstrap", "0", "--format", "json", "--quiet"}, more...)
		got := invoke(args...)
		require.Equal(t, exitUndecided, got.code, got.stderr)
		var r reports.Fit
		require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
		require.NotNil(t, r.Beyond[0].Doubt, code)
		assert.Equal(t, "undecided", r.Beyond[0].Verdict)
		assert.Equal(t, code, string(r.Beyond[0].Doubt.Code))
		return r.Beyond[0].Doubt
	}
	screws, err := os.ReadFile(torques)
	require.NoError(t, err)
	weibull := of(string(screws), "not-distinguishable", "--low", "0.6", "--column", "torque")
	assert.Equal(t, "weibull", string(weibull.Family))
	assert.Greater(t, weibull.Predictive, 9.2e-4)
	assert.Greater(t, weibull.Upper, weibull.Predictive)

	of("lot,torque [N*m]\nA,0.70\nA,0.71\nA,0.69\nA,0.705\nB,0.74\nB,0.75\nB,0.735\nB,0.745\nC,0.66\nC,0.67\nC,0.655\nC,0.665\n", "lots-differ",
		"--low", "0.3", "--lot", "lot", "--column", "torque", "--family", "normal")
	of("d [mm]\n8.9\n9.0\n9.1\n8.95\n9.05\n8.97\n9.03\n8.99\n11.01\n11.0\n11.1\n10.9\n10.95\n11.05\n10.97\n11.03\n", "rejected", "--low", "2", "--family", "normal")
	of("d [mm]\n8.1\n8.4\n8.6\n8.9\n9.1\n9.2\n9.4\n9.6\n9.8\n10.1\n10.2\n10.4\n10.6\n10.9\n11.1\n11.5\n", "not-stable", "--low", "1", "--family", "normal")
}
