package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/flags"
	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	_ "clampodds/testdata/roomyheap"
	"clampodds/testdata/studies"
)

const demo = "../../testdata/studies/two-face.toml"

// frozen is a study that stays as it is when the demo changes: tests that edit its text
// or put numbers in its place begin with it.
const frozen = "../../testdata/frozen/two-face.toml"

// long marks a test of a whole command on a whole study: the race detector makes
// it tenfold slower and finds nothing there that sim's own tests do not show.
func long(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("long: not with -short")
	}
}

// answer is what one call of the program gave.
type answer struct {
	code           int
	stdout, stderr string
}

func invoke(args ...string) answer {
	var stdout, stderr bytes.Buffer
	code := run(args, strings.NewReader(""), &stdout, &stderr)
	return answer{code, stdout.String(), stderr.String()}
}

// write puts a study into a folder of the test and returns its path.
func write(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

// changed is the frozen study with one text replaced.
func changed(t *testing.T, old, with string) string {
	t.Helper()
	text, err := os.ReadFile(frozen)
	require.NoError(t, err)
	require.Contains(t, string(text), old)
	return write(t, "changed.toml", strings.Replace(string(text), old, with, 1))
}

// shortClamp is a study, conditions and all, with clamps of three pieces, and more
// text: for what looks at no number of the study, in half the time.
func shortClamp(t *testing.T, study, more string) string {
	t.Helper()
	return write(t, filepath.Base(study), "extends = '"+absolute(t, study)+"'\nclamp.pieces = 3\n"+more)
}

func TestRunIsTheSameForAnyNumberOfWorkersAndTwice(t *testing.T) {
	long(t)
	path := fewInputs(t, "")
	args := func(workers string) []string {
		return []string{"run", path, "--samples", "6000", "--seed", "0", "--workers", workers, "--format", "json", "--quiet"}
	}
	first := invoke(args("1")...)
	require.Contains(t, []int{exitDone, exitUndecided, exitNotMet}, first.code, first.stderr)
	for _, workers := range []string{"1", "7"} {
		again := invoke(args(workers)...)
		assert.Equal(t, first, again, "workers %s", workers)
	}
	other := invoke("run", path, "--samples", "6000", "--seed", "1", "--format", "json", "--quiet")
	assert.NotEqual(t, first.stdout, other.stdout, "another seed gives other numbers")
}

func TestEveryFormatOfEveryCommandHasOneExitCode(t *testing.T) {
	path := fewInputs(t, "")
	for _, command := range [][]string{{"check", path}, {"nominal", path}, {"run", path, "--samples", "1200"}} {
		want := invoke(append(command, "--quiet")...)
		for _, form := range []string{"table", "json", "csv", "markdown"} {
			got := invoke(append(command, "--quiet", "--format", form)...)
			assert.Equal(t, want.code, got.code, "%v --format %s: %s", command, form, got.stderr)
			require.NotEmpty(t, got.stdout)
			switch form {
			case "json":
				assert.True(t, json.Valid([]byte(got.stdout)))
			case "csv":
				r := csv.NewReader(strings.NewReader(got.stdout))
				r.FieldsPerRecord = -1
				_, err := r.ReadAll()
				assert.NoError(t, err)
			}
		}
	}
}

func TestVerdictsDecideTheExitCode(t *testing.T) {
	long(t)
	met := changed(t, `spot      = { max = "85 degC", target = 2e-3`, `spot      = { max = "150 degC", target = 0.5`)
	notMet := changed(t, `spot      = { max = "85 degC", target = 2e-3`, `spot      = { max = "60 degC", target = 2e-3`)
	assert.Equal(t, exitNotMet, invoke("run", notMet, "--samples", "3000", "--no-conditions", "--quiet").code)
	assert.Equal(t, exitNotMet, invoke("nominal", notMet, "--quiet").code)
	assert.Equal(t, exitDone, invoke("nominal", met, "--quiet").code)
}

// TestVacuumRunsFromEndToEnd: no gas in any gap, hotter than in air.
func TestVacuumRunsFromEndToEnd(t *testing.T) {
	hotter := func(path string) float64 {
		got := invoke("nominal", path, "--quiet", "--format", "json")
		require.NotContains(t, []int{exitUsage, exitFailure}, got.code, got.stderr)
		var n struct {
			Outputs []struct {
				Name  string
				Value float64
			}
		}
		require.NoError(t, json.Unmarshal([]byte(got.stdout), &n))
		for _, o := range n.Outputs {
			if o.Name == reports.Label("edge.hotter") {
				return o.Value
			}
		}
		t.Fatal("no hotter edge")
		return 0
	}
	vacuum := changed(t, "kind = \"air\"", "kind = \"vacuum\"")
	assert.Greater(t, hotter(vacuum), hotter(frozen)+0.5, "gas carries a part of the heat of every face")
	assert.NotContains(t, []int{exitUsage, exitFailure}, invoke("run", vacuum, "--samples", "600", "--quiet", "--no-knowledge").code)
}

func TestBadInputIsRefusedInOneLinePerProblem(t *testing.T) {
	cases := []struct {
		name string
		args []string
		want string // in stderr
	}{
		{"unknown key", []string{"run", changed(t, "ramp_angle =", "ramp_angel =")}, "did you mean"},
		{"wrong unit", []string{"run", changed(t, `"130 mm"`, `"130 N*m"`)}, "clamp.length"},
		{"missing file", []string{"run", "nowhere.toml"}, "nowhere.toml"},
		{"missing readings", []string{"fit", "../../testdata/studies/adit.csv"}, "(did you mean ../../testdata/studies/audit.csv?)"},
		{"missing rig", []string{"calibrate", demo, "../../testdata/studies/rigs.csv"}, "(did you mean ../../testdata/studies/rig.csv?)"},
		{"target of a component", []string{"check", changed(t, `name  = "correlator"`, "name  = \"correlator\"\ntarget = 1e-3")}, "limit = { max = "},
		{"NaN", []string{"run", changed(t, `"130 mm"`, `"NaN mm"`)}, "clamp.length"},
		{"negative flatness", []string{"run", changed(t, `bow   = { shape = "half-normal", p95 = "25 um"`, `bow   = { shape = "half-normal", p95 = "-25 um"`)}, "face.direct.bow"},
		{"correlation of 1.5", []string{"run", changed(t, "rank    = 0.6", "rank    = 1.5")}, "correlation"},
		{"too many samples", []string{"run", demo, "--samples", "1e12"}, "1e12"},
		{"no samples", []string{"run", demo, "--samples", "0"}, "samples"},
		{"unknown command", []string{"runn", demo}, "run"},
		{"unknown plan", []string{"run", demo, "--plan", "dice"}, "latin-hypercube"},
		{"unknown format", []string{"run", demo, "--format", "xml"}, "markdown"},
		{"no study", []string{"run"}, "usage: clampodds run STUDY"},
		{"unknown example", []string{"example", "nothing"}, "two-face.toml"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := invoke(c.args...)
			assert.Equal(t, exitUsage, got.code, got.stderr)
			assert.Empty(t, got.stdout)
			assert.Contains(t, got.stderr, c.want)
			assert.NotContains(t, got.stderr, "goroutine")
		})
	}
}

// A count beyond an int of 32 bits is refused where an int has 32 bits, not wrapped.
func TestCountsFitAnInt(t *testing.T) {
	var set pflag.FlagSet
	var c int
	flags.Count(&set, &c, "n", "")
	assert.Equal(t, math.MaxInt >= int64(3e9), set.Set("n", "3e9") == nil)
	assert.NoError(t, set.Set("n", "2e9"))
	assert.Equal(t, int(2e9), c)
	assert.ErrorContains(t, set.Set("n", "1e12"), "must be a whole number from 1 to")
}

func TestEmptyMeasuredDataIsRefused(t *testing.T) {
	path := changed(t, `torque   = { shape = "normal", nominal = "0.70 N*m", plus_minus = "6 %", coverage = 0.95,`, `torque   = { shape = "measured", file = "empty.csv", column = "torque", unit = "N*m",`)
	require.NoError(t, os.WriteFile(filepath.Join(filepath.Dir(path), "empty.csv"), nil, 0o644))
	got := invoke("run", path)
	assert.Equal(t, exitUsage, got.code)
	assert.Contains(t, got.stderr, "empty.csv")
}

func TestDrawsAreWrittenWholeOrNotAtAll(t *testing.T) {
	study, path := fewInputs(t, "condition = []\n"), filepath.Join(t.TempDir(), "draws.csv")
	first := invoke("run", study, "--samples", "60", "--quiet", "--draws", path)
	require.NotEqual(t, exitFailure, first.code, first.stderr)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	require.NoError(t, err)
	assert.Len(t, rows, 61)
	assert.Equal(t, "card", rows[0][0])
	assert.Contains(t, rows[0], "screw.torque/left")
	assert.Contains(t, rows[0], "edge.hotter [K]")

	again := invoke("run", study, "--samples", "60", "--quiet", "--draws", path)
	assert.Equal(t, exitUsage, again.code, "an existing file is not replaced")
	assert.Contains(t, again.stderr, "--force")

	missing := filepath.Join(t.TempDir(), "no", "folder", "draws.csv")
	got := invoke("run", study, "--samples", "60", "--quiet", "--draws", missing)
	assert.Equal(t, exitFailure, got.code)
	assert.Empty(t, got.stdout)
}

func TestAFailedRunLeavesNoFile(t *testing.T) {
	folder := t.TempDir()
	got := invoke("run", demo, "--samples", "60", "--workers", "-1", "--quiet", "--draws", filepath.Join(folder, "draws.csv"))
	assert.Equal(t, exitUsage, got.code, got.stderr)
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	assert.Empty(t, left)
}

func TestInterruptPrintsWhatWasDone(t *testing.T) {
	done := make(chan answer)
	go func() { done <- invoke("run", demo, "--samples", "1e10", "--quiet") }()
	time.Sleep(500 * time.Millisecond) // the run is under way: 1e10 cards take hours
	sent := time.Now()
	require.NoError(t, syscall.Kill(os.Getpid(), syscall.SIGINT))
	got := <-done
	assert.Less(t, time.Since(sent), 10*time.Second, "promised within a second; a loaded machine gets ten")
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.stdout, "INCOMPLETE")
	assert.NotContains(t, got.stdout, " met", "nothing is decided")
	assert.Contains(t, got.stderr, "incomplete")
}

// An interrupt while it is decided leaves what was counted, and decides nothing. One worker needs some
// seconds for the decision, and none for the cards.
func TestInterruptOfTheDecisionPrintsTheCards(t *testing.T) {
	done := make(chan answer)
	go func() { done <- invoke("run", demo, "--samples", "600", "--seed", "71", "--workers", "1", "--quiet") }()
	time.Sleep(400 * time.Millisecond)
	require.NoError(t, syscall.Kill(os.Getpid(), syscall.SIGINT))
	got := <-done
	assert.Equal(t, exitFailure, got.code)
	assert.Contains(t, got.stdout, "INCOMPLETE")
	assert.NotContains(t, got.stdout, " met")
	assert.Contains(t, got.stderr, question.Interrupted)
}

func TestExamplesAreListedWrittenAndValid(t *testing.T) {
	list := invoke("example")
	assert.Equal(t, exitDone, list.code)
	folder := t.TempDir()
	for _, name := range studies.Names() {
		assert.Contains(t, list.stdout, name)
		got := invoke("example", name, "-o", filepath.Join(folder, name))
		assert.Equal(t, exitDone, got.code, got.stderr)
	}
	for _, name := range studies.Names() {
		if strings.HasSuffix(name, ".toml") {
			got := invoke("check", filepath.Join(folder, name), "--quiet")
			assert.Equal(t, exitDone, got.code, got.stderr)
		}
	}
}

// TestNominalCanBeRecomputed redoes a link of the chain from the JSON alone: the
// force on the lower rail is the sum over the odd pieces, and the heat that
// leaves is the heat put in.
func TestNominalCanBeRecomputed(t *testing.T) {
	got := invoke("nominal", demo, "--format", "json", "--quiet")
	var n struct {
		Edges []struct {
			Clamp []struct {
				Name  string
				Value float64
			}
			Pieces []struct {
				Outward float64 `json:"outward_N"`
			}
			Faces []struct {
				Name string
				Heat float64 `json:"heat_W"`
			}
		}
		Inputs []struct {
			Name  string
			Value float64
		}
		Paths []struct {
			Heat float64 `json:"heat_W"`
		} `json:"heat_paths"`
	}
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &n))
	force, odd := 0.0, 0.0
	for _, v := range n.Edges[0].Clamp {
		if v.Name == "force on flange and rails" {
			force = v.Value
		}
	}
	for i := 0; i < len(n.Edges[0].Pieces); i += 2 {
		odd += n.Edges[0].Pieces[i].Outward
	}
	assert.InEpsilon(t, force, odd, 1e-12, "the same sum in another order")
	in, out := 0.0, 0.0
	for _, v := range n.Inputs {
		if strings.HasSuffix(v.Name, "power") {
			in += v.Value
		}
	}
	for _, p := range n.Paths {
		out += p.Heat
	}
	assert.InEpsilon(t, in, out, 1e-10, "the energy balance promised in the README")
}

// On a terminal a run shows how its edge is distributed, with the limit; in a pipe
// it is text and tables.
func TestRunDrawsItsDistribution(t *testing.T) {
	read, err := study.Load(demo)
	require.NoError(t, err)
	one, err := question.Scenario(read, read.Title)
	require.NoError(t, err)
	found, err := (&sim.Run{Scenarios: []sim.Scenario{one}, Sampler: sim.Random{}, Samples: 1200, Seed: 1, Confidence: 0.95}).Execute(t.Context())
	require.NoError(t, err)
	d := question.Run(read, found).Document()
	var terminal, pipe strings.Builder
	require.NoError(t, reports.Terminal{Width: 80, Interactive: true}.Write(&terminal, d))
	require.NoError(t, reports.Terminal{Width: 80}.Write(&pipe, d))
	assert.Contains(t, terminal.String(), "Temperature, hottest spot of the edges, of cards")
	assert.Contains(t, terminal.String(), "█")
	assert.Contains(t, terminal.String(), "limit 85 °C")
	assert.Contains(t, terminal.String(), "hottest spot of the edges [°C], 1200 cards")
	assert.NotContains(t, pipe.String(), "█")
}
