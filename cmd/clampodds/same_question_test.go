package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports"
)

// asked is the JSON of a command, its exit code and its text for people in one line.
func asked(t *testing.T, into any, args ...string) (code int, text string) {
	t.Helper()
	got := invoke(append(args, "--quiet", "--format", "json")...)
	require.NotEmpty(t, got.stdout, "%v: %s", args, got.stderr)
	require.NoError(t, json.Unmarshal([]byte(got.stdout), into))
	shown := invoke(append(args, "--quiet")...)
	assert.Equal(t, got.code, shown.code, "%v", args)
	return got.code, strings.Join(strings.Fields(shown.stdout), " ")
}

// assertTheSameQuestion asks each command what it says of a study: the same bits of the same
// decision, in JSON; its sentence first; and the exit code that belongs to it.
func assertTheSameQuestion(t *testing.T, study string, more ...string) {
	t.Helper()
	var run reports.Run
	with := func(args ...string) []string { return append(args, more...) }
	code, text := asked(t, &run, with("run", study)...)
	want := *run.Decision
	sentence := strings.Join(strings.Fields(string(want.Sentence())), " ")
	assert.Equal(t, map[string]int{"met": exitDone, "not met": exitNotMet, "undecided": exitUndecided}[want.Verdict], code)
	assert.Contains(t, text, run.Provenance.Title+" "+sentence, "the first line of run")
	for _, q := range run.Requirements { // the number of record stands beside the limit as well
		if q.Name == want.Requirement && want.Condition == "as written" {
			assert.Equal(t, want.PerCard, q.PerCard)
			assert.Equal(t, want.Verdict, q.Verdict)
		}
	}

	var loosen reports.Loosen
	gotCode, text := asked(t, &loosen, "loosen", study, "--input", "screw.torque")
	assert.Equal(t, want, loosen.Decision, "loosen")
	assert.Equal(t, code, gotCode, "loosen")
	assert.Contains(t, text, loosen.Provenance.Title+" "+sentence, "the first line of loosen")

	var alone reports.Loosen
	first := loosen.Requirements[0]
	require.NoError(t, json.Unmarshal([]byte(invoke("loosen", study, "--input", "screw.torque", "--limit", first.Name, "--quiet", "--format", "json").stdout), &alone))
	assert.Equal(t, []reports.LoosenRequirement{first}, alone.Requirements, "a limit that is asked for alone")

	var tail reports.Tail
	gotCode, text = asked(t, &tail, "tail", study, "--limit", want.Requirement)
	ofOne := want
	ofOne.Judged, ofOne.Limits = tail.Decision.Judged, []string{want.Requirement}
	assert.Equal(t, ofOne, *tail.Decision, "tail, of the limit that decides")
	assert.Equal(t, code, gotCode, "tail")
	assert.Contains(t, text, tail.Provenance.Title+" "+strings.Join(strings.Fields(string(ofOne.Sentence())), " "), "the first line of tail")

	var drivers reports.Drivers
	_, text = asked(t, &drivers, "drivers", study, "--limit", want.Requirement, "--samples", "1000")
	assert.Equal(t, tail.Record, drivers.Record, "drivers")
	assert.Contains(t, text, " Whether that meets its target is for run to say.")
	for _, q := range run.Requirements {
		if q.Name == want.Requirement {
			assert.Equal(t, q.PerCard, *tail.Record, "as written")
		}
	}

	if !strings.HasSuffix(study, "inch.toml") { // which cuts no torque, and so has no band of its own
		var audit reports.Audit
		gotCode, text = asked(t, &audit, "audit", study, "--loose", "0.59 N*m", "--tight", "0.81 N*m")
		assert.Equal(t, want, audit.Decision, "audit")
		assert.Contains(t, text, sentence, "audit")
		answer := map[int]string{exitDone: "YES", exitNotMet: "NO", exitUndecided: "UNDECIDED"}[gotCode]
		assert.Contains(t, text, audit.Provenance.Title+" "+answer+": ", "the first line of audit")
		assert.Equal(t, strings.ToLower(answer), audit.Verdict)
		if want.Verdict != "met" {
			assert.Equal(t, code, gotCode, "audit")
		}
	}

	var change reports.Change
	gotCode, text = asked(t, &change, with("change", study, study, "--margin", "target")...)
	assert.Equal(t, want, *change.BeforeDecision, "change")
	assert.Equal(t, code, gotCode, "of a study against itself the targets decide")
	assert.Contains(t, text, map[int]string{exitDone: "SAFE: ", exitNotMet: "NOT SAFE: ", exitUndecided: "UNDECIDED: "}[gotCode])

	var compare reports.Compare
	gotCode, text = asked(t, &compare, with("compare", study, study)...)
	for i, d := range compare.Designs {
		assert.Equal(t, want, *d.Results.Decision, "compare, design %d", i)
		if compare.Condition == "as written" {
			assert.Equal(t, run.Requirements[0].PerCard, d.Results.Requirements[0].PerCard)
		}
		for _, q := range d.Results.Requirements { // the limits in the condition that decides
			if q.Name == want.Requirement && compare.Condition == want.Condition {
				assert.Equal(t, want.PerCard, q.PerCard)
			}
		}
	}
	assert.Equal(t, "undecided", compare.Verdict, "a design is not told apart from itself")
	assert.Equal(t, max(code, map[bool]int{true: exitUndecided}[code != exitNotMet]), gotCode, "compare")
	assert.Contains(t, text, "UNDECIDED: ")

	var torque reports.Torque
	gotCode, text = asked(t, &torque, "torque", study)
	last := torque.Checked[len(torque.Checked)-1]
	assert.Equal(t, want, last.Decision, "torque, at the study's")
	assert.Regexp(t, map[string]string{"yes": "YES: ", "no": "NO[: ]", "undecided": "UNDECIDED: "}[torque.Verdict], text)
	both := torque.Verdict + torque.Inside
	assert.Equal(t, strings.Contains(both, "no"), gotCode == exitNotMet, "a window, and the study's torque inside")
	assert.Equal(t, both == "yesyes", gotCode == exitDone)
}

// assertTheReportSays holds a report against the decision of run.
func assertTheReportSays(t *testing.T, study string, more ...string) {
	t.Helper()
	var run reports.Run
	asked(t, &run, append([]string{"run", study}, more...)...)
	want := *run.Decision
	folder := filepath.Join(t.TempDir(), "report")
	got := invoke(append([]string{"report", study, "-o", folder, "--quiet"}, more...)...)
	require.NotEqual(t, exitUsage, got.code, got.stderr)
	file := func(name string) string {
		text, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		return string(text)
	}
	var report struct{ Run reports.Run }
	require.NoError(t, json.Unmarshal([]byte(file("report.json")), &report))
	assert.Equal(t, want, *report.Run.Decision, "report")
	page := strings.Join(strings.Fields(file("report.md")), " ")
	assert.Less(t, strings.Index(page, strings.ToUpper(want.Verdict)), 1500, "the first page says the verdict")
}

// The same question from each command, on a study of few inputs that is met, and on one that is not, in a condition.
func TestTheSameQuestionFromEachCommand(t *testing.T) {
	long(t)
	const hot = "condition = [{ name = 'hot', replace = { 'wall.temperature' = '75 degC' } }, { name = 'hotter', informative = true, replace = { 'wall.temperature' = '80 degC' } }]"
	for limit, conditions := range map[string]string{"105 degC": "condition = []", "88.5 degC": hot} {
		base := fewInputs(t, conditions+"\nverdict.policy = 'predictive'\n")
		study := write(t, "asked.toml", "extends = '"+base+"'\nlimits.spot = { max = '"+limit+"', target = 0.1 }\n")
		assertTheSameQuestion(t, study, "--samples", "1200")
		if limit == "105 degC" {
			assertTheReportSays(t, study, "--samples", "1200")
		}
	}
}

// A nominal value outside its own limits is a warning in every command: for people beside the
// result, and in the result itself.
func TestNominalOutsideItsLimitsIsAWarningEverywhere(t *testing.T) {
	base := fewInputs(t, "condition = []\nverdict.policy = 'predictive'\n")
	base = write(t, "inside.toml", "extends = '"+base+"'\nlimits.spot = { max = '105 degC', target = 0.1 }\n")
	study := write(t, "outside.toml", "extends = '"+base+"'\nscrew.torque = { shape = 'normal', nominal = '0.70 N*m', plus_minus = '6 %', coverage = 0.95, low = '0.60 N*m', high = '0.70 N*m' }\n")
	for _, args := range [][]string{
		{"check", study}, {"nominal", study}, {"run", study, "--samples", "600"}, {"loosen", study, "--input", "screw.torque", "--limit", "holding"},
		{"audit", study, "--loose", "0.59 N*m", "--tight", "0.71 N*m", "--limit", "holding"}, {"compare", base, study, "--samples", "600"},
		{"change", base, study, "--samples", "600", "--margin", "0.5"},
	} {
		got := invoke(append(args, "--format", "json")...)
		const code = "nominal-outside-limits"
		assert.Contains(t, got.stderr, code, "%v", args)
		assert.Contains(t, got.stdout, code, "%v", args)
	}
}
