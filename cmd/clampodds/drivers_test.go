package main

import (
	"encoding/json"
	"io"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/dist"
	"clampodds/reports"
)

// exactModel takes the doubt about the contact model out of a study.
const exactModel = "\n[contact]\nfactor = 1\nface_factor = 1\n"

// still is the frozen study with every distribution replaced by one of its values,
// but for the lines that start with one of the texts.
func still(t *testing.T, but ...string) string {
	t.Helper()
	return stillWith(t, exactModel, but...)
}

// stillWith is still with an end of its own.
func stillWith(t *testing.T, end string, but ...string) string {
	t.Helper()
	text, err := os.ReadFile(frozen)
	require.NoError(t, err)
	whole, _, found := strings.Cut(string(text), "# Oil on the screw")
	require.True(t, found)
	shape := regexp.MustCompile(`\{ shape = .*?(?:nominal|mean|median|p95|low) = ("[^"]*"|[0-9.]+).*\}`)
	lines := strings.Split(whole, "\n")
	for i, line := range lines {
		kept := false
		for _, b := range but {
			kept = kept || strings.HasPrefix(line, b)
		}
		if !kept {
			lines[i] = shape.ReplaceAllString(line, "$1")
		}
	}
	return write(t, "still.toml", strings.Join(lines, "\n")+end)
}

func driversOf(t *testing.T, args ...string) (reports.Drivers, answer) {
	t.Helper()
	got := invoke(append([]string{"drivers", "--quiet", "--format", "json", "--samples", "1000"}, args...)...)
	var r reports.Drivers
	if got.stdout != "" {
		require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	}
	return r, got
}

func TestDriversOfAStudy(t *testing.T) {
	long(t)
	study := stillWith(t, `
[contact]
face_factor = 1
[[correlation]]
between = ["screw.thread_friction", "screw.head_friction"]
rank    = 0.6
`, "torque ", "temperature", "thread_friction", "head_friction", "width = { shape", "bow ")
	r, got := driversOf(t, study, "--at", "95 degC")
	assert.Equal(t, exitDone, got.code)
	require.NotEmpty(t, r.Spread)
	assert.Equal(t, []string{"wall.temperature"}, r.Spread[0].Inputs)
	assert.Equal(t, "chassis", r.Spread[0].Level)
	assert.Equal(t, []string{"contact.factor"}, r.Spread[1].Inputs)
	assert.True(t, r.Spread[1].Knowledge)
	sum := 0.0
	for _, s := range r.Spread {
		sum += s.Total.Value
		if len(s.Inputs) > 1 {
			assert.Equal(t, []string{"screw.thread_friction", "screw.head_friction"}, s.Inputs)
			assert.Len(t, s.Members, 2)
		}
	}
	assert.InDelta(t, 1, sum, 0.15, "hardly any interaction; 1000 rows")
	assert.Contains(t, []string{"contact.factor", "wall.temperature"}, r.Inputs[0].Input)
	for _, in := range r.Inputs {
		require.Len(t, in.Changes, 4, in.Input)
		switch in.Input {
		case "wall.temperature":
			// The wall moves every card by its own standard deviation, 1.5 K.
			assert.InDelta(t, -1.5, in.Changes[2].Moved.Value, 0.05)
			assert.InDelta(t, 1.5, in.Changes[3].Moved.Value, 0.05)
			assert.Less(t, in.Changes[0].Factor.High, 1.0, "a steady wall helps")
			assert.Greater(t, in.MeanSlope.Low, 0.0)
		case "slot.width":
			assert.NotEmpty(t, in.NoSlope, "uniform")
			assert.Less(t, in.Changes[3].Factor.Value, 1.05, "hardly matters")
		case "screw.torque":
			assert.Less(t, in.Changes[3].Factor.Value, in.Changes[2].Factor.Value, "more torque, colder")
		}
	}
}

func TestDriversReadWell(t *testing.T) {
	long(t)
	study := still(t, "torque ", "temperature", "ramp = ")
	got := invoke("drivers", study, "--at", "75 degC", "--samples", "1000", "--quiet")
	require.Equal(t, exitDone, got.code, got.stderr)
	for _, want := range []string{"What makes the spread of the hottest spot of the edges", "wall.temperature", "What if: by how much the probability of exceeding 75 °C", "P99 of the hottest spot of the edges [K]", "Slopes", "1.5 K"} {
		assert.Contains(t, got.stdout, want)
	}
	for _, line := range strings.Split(got.stdout, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 100, line)
	}
	for _, form := range []string{"csv", "markdown"} {
		assert.Equal(t, got.code, invoke("drivers", study, "--at", "75 degC", "--samples", "1000", "--quiet", "--format", form).code)
	}
}

// With the wall alone random every answer has a closed form: the edge is normal, as
// far above the wall as at the nominal values.
func TestDriversOfOneInput(t *testing.T) {
	long(t)
	study := still(t, "temperature")
	var nominal reports.Nominal
	require.NoError(t, json.Unmarshal([]byte(invoke("nominal", study, "--quiet", "--format", "json").stdout), &nominal))
	edge := nominal.Limits[0].Value
	r, got := driversOf(t, study, "--at", "85 degC")
	require.Equal(t, exitDone, got.code, got.stderr)
	require.Len(t, r.Spread, 1)
	assert.InDelta(t, 1, r.Spread[0].Total.Value, 0.1, "all of it")
	score := (85 + 273.15 - edge) / 1.5
	exact := dist.NormalSurvival(score)
	changes := r.Inputs[0].Changes
	assert.True(t, changes[0].Factor.Value == 0, "a wall that never varies never exceeds")
	for c, after := range map[int]float64{1: 2 * score, 2: score + 1, 3: score - 1} {
		f := changes[c].Factor
		// Twice the interval of 95 %: a false alarm in 1 of 10 000.
		assert.InDelta(t, math.Log(dist.NormalSurvival(after)/exact), math.Log(f.Value), 2*math.Log(f.High/f.Value), changes[c].Change)
	}
	assert.InDelta(t, 1.5, changes[3].Moved.Value, 0.02, "the gas conducts a little better when warmer")
	density := math.Exp(dist.NormalLogDensity(score)) / exact
	mean, deviation := r.Inputs[0].MeanSlope, r.Inputs[0].StdDevSlope
	assert.InDelta(t, density, mean.Value, mean.High-mean.Low)
	assert.InDelta(t, density*score, deviation.Value, deviation.High-deviation.Low)
}

func TestDriversRefuseWhatTheyCannotDo(t *testing.T) {
	long(t)
	for want, args := range map[string][]string{
		"no input is random":        {still(t)},
		"constant at":               {still(t, "temperature"), "--limit", "screw_stress"},
		"--samples is 100, must be": {demo, "--samples", "100"},
		"sets no limit":             {demo, "--limit", "cpu"},
	} {
		_, got := driversOf(t, args...)
		assert.Equal(t, exitUsage, got.code, want)
		assert.Empty(t, got.stdout)
		assert.Contains(t, got.stderr, want)
	}
}

func TestDriversOfALimitNeverExceeded(t *testing.T) {
	long(t)
	r, got := driversOf(t, still(t, "torque ", "temperature"), "--at", "200 degC")
	assert.Equal(t, exitDone, got.code)
	assert.Nil(t, r.Inputs[0].Changes[0].Factor)
	assert.NotZero(t, r.Inputs[0].Changes[3].Moved.Value)
	assert.EqualValues(t, "no-exceedance", r.Warnings[0].Code)
}

func TestInterruptedWorkFails(t *testing.T) {
	assert.Equal(t, exitFailure, report(unanswered(question.Stopped("interrupted")), io.Discard))
}
