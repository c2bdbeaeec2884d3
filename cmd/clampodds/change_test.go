package main

import (
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports"
)

const (
	flatness = "../../testdata/studies/flatness-change.toml"
	finish   = "../../testdata/studies/finish-change.toml"
	fourFace = "../../testdata/studies/four-face.toml"
)

// withoutTargets is the demo study with no target.
func withoutTargets(t *testing.T) []byte {
	t.Helper()
	text, err := os.ReadFile(demo)
	require.NoError(t, err)
	return regexp.MustCompile(`, target = [0-9e-]+`).ReplaceAll(text, nil)
}

// A coat of 50 µm on the rails: the base first, then one verdict, what decides it, and every form
// and the exit code in keeping with it.
func TestChangeReadsVerdictFirst(t *testing.T) {
	long(t)
	few := "condition = []\nverdict.policy = 'predictive'\nlimits.spot = { max = \"85 degC\", target = 5e-3 }\n"
	args := []string{"change", shortClamp(t, demo, few), shortClamp(t, finish, few), "--margin", "0.05", "--samples", "6000", "--quiet"}
	got := invoke(args...)
	text := strings.Join(strings.Fields(got.stdout), " ")
	require.Equal(t, exitNotMet, got.code, got.stderr)
	assert.Less(t, strings.Index(text, "NOT SAFE: a difference is above the margin, +0.05; after the change a target is not met."), 700, text)
	for _, want := range []string{"The design before the change misses a target already: ", "Difference: hottest spot of the edges above 85 °C, ", "It rests most on rail.coat.thickness", "one difference at a time, as written", "all together", "Target after the change, not met: ", "differences are judged together", "Not touched in any condition"} {
		assert.Contains(t, text, want)
	}
	var r reports.Change
	require.NoError(t, json.Unmarshal([]byte(invoke(append(args, "--format", "json")...).stdout), &r))
	assert.Equal(t, []string{"not safe", "not safe", "not met", "not met"}, []string{r.Verdict, r.DifferenceVerdict, r.TargetVerdict, r.AfterDecision.Verdict})
	assert.Equal(t, "not safe", r.Requirements[r.Deciding].Verdict)
}

func TestChangeOfFlatness(t *testing.T) {
	long(t)
	base := shortClamp(t, frozen, "condition = []\nverdict.policy = 'predictive'\n")
	twice := shortClamp(t, frozen, `condition = []
verdict.policy = "predictive"
[face.direct]
bow   = { shape = "half-normal", p95 = "50 um" }
crown = { shape = "half-normal", p95 = "20 um" }
`)
	args := []string{"change", base, twice, "--samples", "30000", "--margin", "1e-3", "--quiet"}
	got := invoke(append(args, "--format", "json")...)
	require.Equal(t, exitNotMet, got.code, got.stderr)
	var r reports.Change
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	assert.Equal(t, "not safe", r.Verdict)
	assert.Equal(t, "spot", r.Requirements[r.Deciding].Name)
	assert.Len(t, r.Differences, 2)
	require.Len(t, r.Steps, 3, "each, and all together")
	// The edge's mean and percentiles on common draws against independent ones.
	for _, s := range r.Shifts[:3] {
		assert.Greater(t, s.WidthRatio, 3.0, "%s of the hottest spot", s.Statistic)
	}
}

// Of a study against itself the difference is 0; the targets decide, as they do in run.
func TestNoChangeIsExactlyZero(t *testing.T) {
	same := func(max, target string) (r reports.Change, text answer) {
		t.Helper()
		base := fewInputs(t, "condition = []\nverdict.policy = 'predictive'\n")
		path := write(t, "same.toml", fmt.Sprintf("extends = '%s'\nlimits.spot = { max = %q, target = %s }\n", base, max, target))
		got := invoke("change", path, path, "--samples", "6000", "--quiet", "--format", "json")
		require.NotEmpty(t, got.stdout, got.stderr)
		require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
		return r, invoke("change", path, path, "--samples", "6000", "--quiet")
	}
	r, text := same("105 degC", "0.1")
	assert.Equal(t, exitDone, text.code, text.stdout)
	assert.Equal(t, []string{"safe", "safe", "met"}, []string{r.Verdict, r.DifferenceVerdict, r.TargetVerdict})
	var run reports.Run
	require.NoError(t, json.Unmarshal([]byte(invoke("run", r.Provenance.Study, "--samples", "6000", "--quiet", "--format", "json").stdout), &run))
	assert.Equal(t, run.Decision, r.BeforeDecision, "the same question from each command")
	for _, s := range r.Shifts {
		assert.Zero(t, s.Low)
		assert.Zero(t, s.High)
	}
	assert.Contains(t, strings.Join(strings.Fields(text.stdout), " "), "SAFE: the two studies are the same in every input, and the difference is exactly 0; after the change every target is met.")

	r, text = same("60 degC", "1e-3")
	assert.Equal(t, exitNotMet, text.code, "a failing base against its copy")
	assert.Equal(t, []string{"not safe", "safe", "not met"}, []string{r.Verdict, r.DifferenceVerdict, r.TargetVerdict})
	assert.Contains(t, strings.Join(strings.Fields(text.stdout), " "), "The design before the change misses a target already: ")
}

func TestChangeOfStructure(t *testing.T) {
	long(t)
	const predictive = "condition = []\nverdict.policy = 'predictive'\n"
	got := invoke("change", shortClamp(t, demo, predictive), shortClamp(t, fourFace, predictive), "--samples", "3000", "--margin", "0.02", "--quiet")
	assert.NotEqual(t, exitUsage, got.code, got.stderr)
	assert.Contains(t, got.stdout, "two-face → four-face")
}

func TestWhatIsNotComparedIsSaid(t *testing.T) {
	for want, path := range map[string]string{
		"the limits differ: spot is 85 degC in": changed(t, `spot      = { max = "85 degC"`, `spot      = { max = "90 degC"`),
		"the targets differ: that of spot":      changed(t, `max = "85 degC", target = 2e-3`, `max = "85 degC", target = 5e-3`),
		"they cannot share draws":               changed(t, "cards_per_chassis = 6", "cards_per_chassis = 4"),
		"another rule is not a change":          changed(t, "[change]", "[verdict]\npolicy = \"predictive\"\n[change]"),
		"[verdict] differs between":             changed(t, "[change]", "[verdict]\naccuracy = 0.05\n[change]"),
	} {
		for _, command := range []string{"change", "compare"} {
			got := invoke(command, demo, path, "--quiet", "--samples", "1000")
			assert.Equal(t, exitUsage, got.code)
			assert.Contains(t, got.stderr, want)
		}
	}
}
