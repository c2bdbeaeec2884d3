package main

import (
	"bytes"
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

const (
	flatness = "../../testdata/studies/flatness-change.toml"
	finish   = "../../testdata/studies/finish-change.toml"
	fourFace = "../../testdata/studies/four-face.toml"
)

// reportText is a result as people read it, on lines of any length.
func reportText(t *testing.T, r result) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, reports.Terminal{Width: 0}.Write(&b, r.Document()))
	return b.String()
}

// withoutTargets is the demo study with no target.
func withoutTargets(t *testing.T) []byte {
	t.Helper()
	text, err := os.ReadFile(demo)
	require.NoError(t, err)
	return regexp.MustCompile(`, target = [0-9e-]+`).ReplaceAll(text, nil)
}

// The command's answer on a model whose change is known: edge 350 K + 2 K a + b,
// before and after raised by half a kelvin.
func TestChangeAnswersTheClosedForm(t *testing.T) {
	design := func(shift float64) sim.Scenario {
		return sim.Scenario{
			Name: "linear", Plan: normals(t, 0, 1, 0, 1),
			Model:        linear{outputs: []string{"edge.spot"}, offset: []float64{353 + shift}, weight: [][]float64{{2, 0.5}}},
			Requirements: []sim.Requirement{{Name: "spot", Output: "edge.spot", Limit: 358.15}},
		}
	}
	before, after := design(0), design(0.5)
	exact := after.Model.(linear).exceeds(after.Plan, 0, 358.15) - before.Model.(linear).exceeds(before.Plan, 0, 358.15)
	s := loadDemo(t)
	for _, c := range []struct {
		margin float64
		code   int
	}{{3 * exact, exitDone}, {exact / 3, exitNotMet}, {exact, exitUndecided}} {
		asked := &studyChange{before: s, after: s}
		asked.Setup, asked.Before, asked.After = linearSetup(50_000), before, after
		asked.Margin = decide.Margin{Kind: decide.Absolute, Value: c.margin}
		result, safe, err := asked.judge(t.Context())
		require.NoError(t, err)
		assert.Equal(t, c.code, report(answered(safe), nil))
		q := result.Requirements[0]
		assert.LessOrEqual(t, q.Low, exact)
		assert.GreaterOrEqual(t, q.High, exact)
		assert.InDelta(t, 0.5, result.Shifts[0].Value, 1e-9, "the same shift in every row")
	}
}

// everyForm prints a result in every form and returns that for people.
func everyForm(t *testing.T, r result) string {
	t.Helper()
	for _, form := range []format{asTable, asJSON, asCSV, asMarkdown} {
		var b bytes.Buffer
		require.NoError(t, emit(&b, form, r))
		assert.NotEmpty(t, b.String())
		if form == asJSON {
			assert.True(t, json.Valid(b.Bytes()))
		}
	}
	return reportText(t, r)
}

func TestChangeReadsVerdictFirst(t *testing.T) {
	before, err := study.Load(shortClamp(t, demo, ""))
	require.NoError(t, err)
	after, err := study.Load(shortClamp(t, finish, ""))
	require.NoError(t, err)
	asked, err := newStudyChange(before, after, "0.1")
	require.NoError(t, err)
	asked.Setup = linearSetup(6000)
	result, _, err := asked.judge(t.Context())
	require.NoError(t, err)
	text := everyForm(t, result)
	assert.Less(t, strings.Index(text, "NOT SAFE"), 200)
	for _, want := range []string{"It rests most on rail.coat.thickness", "one difference at a time", "all together", "Target 0.002 after the change: not met", "times as wide"} {
		assert.Contains(t, text, want)
	}
}

func TestChangeOfFlatness(t *testing.T) {
	long(t)
	base := shortClamp(t, frozen, "condition = []\n")
	twice := shortClamp(t, frozen, `condition = []
[face.direct]
bow   = { shape = "half-normal", p95 = "50 um" }
crown = { shape = "half-normal", p95 = "20 um" }
`)
	// At this number of samples the margin and the targets are counted.
	args := []string{"change", base, twice, "--samples", "30000", "--margin", "1e-3", "--quiet"}
	got := invoke(append(args, "--format", "json")...)
	require.Equal(t, exitNotMet, got.code, got.stderr)
	var r reports.Change
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	assert.Equal(t, "not safe", r.Verdict)
	assert.Equal(t, "spot", r.Requirements[r.Deciding].Name)
	assert.Len(t, r.Differences, 2)
	require.Len(t, r.Steps, 2)
	// The edge's mean and percentiles on common draws against independent ones.
	for _, s := range r.Shifts[:3] {
		assert.Greater(t, s.Narrower, 3.0, "%s of the hottest spot", s.Statistic)
	}
}

func TestNoChangeIsExactlyZero(t *testing.T) {
	got := invoke("change", demo, demo, "--samples", "6000", "--quiet", "--format", "json")
	require.Equal(t, exitDone, got.code, got.stderr)
	var r reports.Change
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	assert.Equal(t, "safe", r.Verdict)
	for _, q := range r.Requirements {
		assert.Zero(t, q.Value)
		assert.Zero(t, q.Low)
		assert.Zero(t, q.High)
	}
	for _, s := range r.Shifts {
		assert.Zero(t, s.Low)
		assert.Zero(t, s.High)
	}
	assert.NotContains(t, got.stdout, `"low": null`, "zero, not unknown")
	text := invoke("change", demo, demo, "--samples", "6000", "--quiet")
	assert.Contains(t, text.stdout, "SAFE: the two studies are the same in every input")
}

func TestChangeOfStructure(t *testing.T) {
	long(t)
	got := invoke("change", shortClamp(t, demo, "condition = []\n"), shortClamp(t, fourFace, "condition = []\n"), "--samples", "3000", "--margin", "0.02", "--quiet")
	assert.NotEqual(t, exitUsage, got.code, got.stderr)
	assert.Contains(t, got.stdout, "two-face → four-face")
}

func TestMargins(t *testing.T) {
	s := loadDemo(t)
	for text, want := range map[string]decide.Margin{
		"":       {Kind: decide.Absolute, Value: 5e-4},
		"1e-3":   {Kind: decide.Absolute, Value: 1e-3},
		"50%":    {Kind: decide.Relative, Value: 0.5},
		"20 %":   {Kind: decide.Relative, Value: 0.2},
		"target": {Kind: decide.TargetMet},
	} {
		got, err := parseMargin(text, s)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	for _, text := range []string{"much", "0", "-1e-3", "1", "nan", "%"} {
		_, err := parseMargin(text, s)
		assert.ErrorContains(t, err, "--margin")
	}
	s.ChangeMargin = 0
	_, err := parseMargin("", s)
	assert.ErrorContains(t, err, "no margin")
}

func TestWhatIsNotComparedIsSaid(t *testing.T) {
	for want, path := range map[string]string{
		"the limits differ: spot is 85 degC in": changed(t, `spot      = { max = "85 degC"`, `spot      = { max = "90 degC"`),
		"the targets differ: that of spot":      changed(t, `max = "85 degC", target = 2e-3`, `max = "85 degC", target = 5e-3`),
		"they cannot share draws":               changed(t, "cards_per_chassis = 6", "cards_per_chassis = 4"),
	} {
		for _, command := range []string{"change", "compare"} {
			got := invoke(command, demo, path, "--quiet", "--samples", "1000")
			assert.Equal(t, exitUsage, got.code)
			assert.Contains(t, got.stderr, want)
		}
	}
}
