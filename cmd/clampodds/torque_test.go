package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports"
)

// coolStudy has a window of torques, which the clamp maker limits.
func coolStudy(t *testing.T) string {
	t.Helper()
	return shortClamp(t, frozen, `
wall.temperature = { shape = "normal", mean = "56 degC", sd = "1.5 K", per = "chassis" }
limits.spot = { max = "84 degC", target = 2e-2 }
limits.screw_stress = { max = 1, target = 1e-2 }
limits.stripping = { max = 1, target = 1e-2 }
limits.bearing = { max = 1, target = 1e-2 }
limits.holding = { max = 1, target = 1e-2 }
condition = []
verdict.policy = "predictive"
torque.most = "0.85 N*m"
torque.largest_tolerance = "0.1 N*m"
torque.tool_class = "6 %"
`)
}

func TestTorqueOnAStudy(t *testing.T) {
	long(t)
	cool := coolStudy(t)
	got := invoke("torque", cool, "--quiet", "--format", "json")
	require.Contains(t, []int{exitDone, exitUndecided}, got.code, got.stderr)
	var r reports.Torque
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	assert.Equal(t, "yes", r.Verdict)
	require.Len(t, r.Checked, 4, "nominal, low and high of the recommendation, and the study's")
	for _, c := range r.Checked[:3] {
		assert.Equal(t, "met", c.Decision.Verdict, "at %v", c.Torque)
	}
	assert.Equal(t, "spot", r.Lower.Requirement)
	// One condition, averaged over what is not known: the window of the study as written,
	// but for the intervals of the ends. Judged with confidence it is a third narrower.
	for _, end := range [][2]float64{{r.Lower.Low, r.Mission.Lower.Torque}, {r.Mission.Lower.Torque, r.Lower.Safe}, {r.Upper.Safe, r.Mission.Upper.Torque}, {r.Mission.Upper.Torque, r.Upper.High}} {
		assert.LessOrEqual(t, end[0], end[1]+0.007, "but for the accuracy of the search")
	}
	assert.Equal(t, "screw_stress", r.Upper.Requirement)
	assert.Len(t, r.Curves, 7)
	assert.NotEmpty(t, r.Widening)
	require.NotNil(t, r.Advice)
	assert.Equal(t, []bool{false, true, true}, []bool{r.Advice.LeastBinds, r.Advice.MostBinds, r.Advice.ToleranceBinds})
	assert.LessOrEqual(t, float64(r.Advice.Torque+r.Advice.Tolerance), 0.85+1e-9)
	assert.Len(t, r.Compared, 7)
	assert.Contains(t, r.Advice.StudyLine, `plus_minus = "6 %"`)
	text := strings.Join(strings.Fields(invoke("torque", cool, "--quiet").stdout), " ")
	for _, want := range []string{"above, 0.772 N·m", "0.05 % of the screws beyond the clamp maker's limit, 0.850 N·m", "beyond which the torque is not allowed", "beyond which it is not shown to hold", "the largest that the study lets be drawn", "The tool's class, ± 6 %", "TIGHTEN CLAMP SCREW TO 0.5", "at the recommended one"} {
		assert.Contains(t, text, want)
	}
	low := write(t, "low.toml", "extends = '"+cool+"'\ntorque.most = \"0.3 N*m\"\n")
	counted := invoke("run", low, "--samples", "600")
	assert.Equal(t, exitNotMet, counted.code, counted.stderr)
	assert.Contains(t, strings.Join(strings.Fields(counted.stdout), " "),
		"NOT MET: the screw's torque of 0.7 N·m is more than the clamp maker allows, torque.most = 0.3 N·m. By the targets alone it is met: every target holds")
	got = invoke("torque", low, "--quiet")
	text = strings.Join(strings.Fields(got.stdout), " ")
	assert.Equal(t, exitNotMet, got.code, "the study's torque is not allowed")
	for _, want := range []string{"but that is not allowed.", "those allowed are not shown to hold", "is not allowed: outside the clamp maker's most"} {
		assert.Contains(t, text, want)
	}
}

func TestTorqueRefuses(t *testing.T) {
	for want, args := range map[string][]string{
		`--from "warm"`:      {"--from", "warm"},
		"must lie between":   {"--to", "0.5 N*m"},
		"from above 0":       {"--from", "0 N*m"},
		"(0 given)":          nil,
		"unknown flag":       {"--samples", "1000"},
		"no requirement has": {},
	} {
		path := demo
		if want == "no requirement has" {
			path = write(t, "no-target.toml", string(withoutTargets(t)))
		}
		args = append([]string{"torque", path, "--quiet"}, args...)
		if want == "(0 given)" {
			args = []string{"torque"}
		}
		got := invoke(args...)
		assert.Equal(t, exitUsage, got.code, "%v %s", args, got.stderr)
		assert.Contains(t, got.stderr, want)
	}
}

// The whole command on the demo study as it stands.
func BenchmarkTorque(b *testing.B) {
	b.Run("study=two-face", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			invoke("torque", demo, "--quiet")
		}
	})
}
