package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
)

const rigData = "../../testdata/studies/rig.csv"

// fewRows is a table with the first rows of the demo's, for what does not need
// them all.
func fewRows(t *testing.T) string {
	text, err := os.ReadFile(rigData)
	require.NoError(t, err)
	const kept = 3 + 3 // comments and header, rows
	return write(t, "rig.csv", strings.Join(strings.SplitAfter(string(text), "\n")[:kept], ""))
}

// quick is a calibration with few rows and draws.
func quick(t *testing.T, more ...string) []string {
	return append([]string{"calibrate", shortClamp(t, frozen, ""), fewRows(t), "--noise", "0.2 K", "--quiet", "--samples", "260"}, more...)
}

// The demo's readings were made with a contact factor of 0.8: it lies in the
// interval, the interval is narrower than before, and nothing is out of order.
func TestCalibrateFindsTheFactorOfTheDemo(t *testing.T) {
	got := invoke("calibrate", demo, rigData, "--noise", "0.2 K", "--quiet", "--format", "json", "--samples", "260")
	require.Equal(t, exitDone, got.code, got.stderr)
	var c struct {
		Parameters []reports.CalibratedParameter
		Readings   []reports.CalibrationReading
		Trends     []reports.CalibrationTrend
		Surprise   reports.CalibrationTest
		Warnings   []reports.Warning
		Fragment   string
	}
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &c))
	require.Len(t, c.Parameters, 1)
	p := c.Parameters[0]
	assert.Equal(t, "contact.factor", p.Key)
	assert.Less(t, p.After.Low, 0.8)
	assert.Greater(t, p.After.High, 0.8)
	assert.Less(t, p.Left, 0.7)
	assert.InDelta(t, 1, p.Before.Median, 1e-12)
	require.Len(t, c.Readings, 24)
	inside := 0
	for _, r := range c.Readings {
		assert.Less(t, r.After.High-r.After.Low, r.Before.High-r.Before.Low)
		if r.After.Low < r.Value && r.Value < r.After.High {
			inside++
		}
	}
	assert.Equal(t, 24, inside, "readings of three cards of one lot hang together: all or few lie inside")
	assert.Len(t, c.Trends, 4, "torque, power, wall, order; the altitude is one value")
	for _, r := range c.Trends {
		assert.False(t, r.Flagged, r.Against)
	}
	assert.Empty(t, c.Warnings)
	// Both densities integrate to about 1 (trapezoidal rule, 0.2 % left outside).
	before, after := 0.0, 0.0
	for i, q := range p.Curve[1:] {
		before += (q.Before + p.Curve[i].Before) * (q.Value - p.Curve[i].Value) / 2
		after += (q.After + p.Curve[i].After) * (q.Value - p.Curve[i].Value) / 2
	}
	assert.InDelta(t, 1, before, 0.004)
	assert.InDelta(t, 1, after, 0.004)
}

func TestCalibrateDependsOnSeedAndNotOnWorkers(t *testing.T) {
	path, data := shortClamp(t, frozen, ""), fewRows(t)
	args := func(workers, seed string) []string {
		return []string{"calibrate", path, data, "--noise", "0.2 K", "--quiet", "--samples", "260", "--format", "json", "--workers", workers, "--seed", seed}
	}
	first := invoke(args("1", "0")...)
	require.Equal(t, exitDone, first.code, first.stderr)
	assert.Equal(t, first, invoke(args("3", "0")...))
	assert.NotEqual(t, first.stdout, invoke(args("1", "1")...).stdout)
}

// What -o writes is a study that reads without a warning, keeps all else, and has
// the narrowed inputs as knowledge, here two with their correlation.
func TestCalibrateWritesAStudy(t *testing.T) {
	long(t)
	path := filepath.Join(t.TempDir(), "calibrated.toml")
	args := quick(t, "--update", "contact.factor,friction.ramp", "-o", path)
	got := invoke(args...)
	require.Equal(t, exitDone, got.code, got.stderr)
	base, err := study.Load(frozen)
	require.NoError(t, err)
	s, err := study.Load(path)
	require.NoError(t, err)
	assert.Empty(t, s.Warnings)
	assert.Equal(t, base.Title+", calibrated", s.Title)
	require.Len(t, s.Correlations, 2)
	assert.Equal(t, base.Correlations[0].A, s.Correlations[0].A)
	// Little contact and much friction look alike: what is more of one is more of the other.
	assert.Equal(t, "contact.factor", s.Correlations[1].A)
	assert.Positive(t, s.Correlations[1].Rank)
	for _, key := range []string{"contact.factor", "friction.ramp"} {
		in := s.Input(key)
		assert.True(t, in.Knowledge, key)
		assert.Less(t, in.Dist.StdDev(), base.Input(key).Dist.StdDev()*1.02, key)
		assert.Contains(t, in.Source, "3 rows of rig.csv")
	}
	low, high := s.Input("friction.ramp").Dist.Support()
	wantLow, wantHigh := base.Input("friction.ramp").Dist.Support()
	assert.Equal(t, []float64{wantLow, wantHigh}, []float64{low, high}, "cuts stay")
	again := invoke(args...)
	assert.Equal(t, exitUsage, again.code)
	assert.Contains(t, again.stderr, "--force")
}

// A component's resistance is written under its component, and a wall resistance
// with its unit.
func TestCalibrateWritesComponentsAndUnits(t *testing.T) {
	long(t)
	base := shortClamp(t, frozen, `
wall.lower_resistance = { shape = "lognormal", median = "0.08 K/W", sigma_ln = 0.3, knowledge = true }
[[component]]
name = "correlator"
resistance = { shape = "lognormal", median = "0.45 K/W", sigma_ln = 0.1, knowledge = true }
`)
	path := filepath.Join(filepath.Dir(base), "calibrated.toml")
	got := invoke("calibrate", base, fewRows(t), "--noise", "0.2 K", "--quiet", "--samples", "260",
		"--update", "wall.lower_resistance,component.correlator.resistance", "-o", path)
	require.Equal(t, exitDone, got.code, got.stderr)
	s, err := study.Load(path)
	require.NoError(t, err)
	assert.True(t, s.Input("wall.lower_resistance").Knowledge)
	assert.InDelta(t, 0.08, s.Input("wall.lower_resistance").Nominal, 0.02)
	// Edge temperatures say nothing of a component's resistance.
	assert.InEpsilon(t, 0.45, s.Input("component.correlator.resistance").Nominal, 1e-3)
	assert.InEpsilon(t, 0.45*0.1, s.Input("component.correlator.resistance").Dist.StdDev(), 0.02)
}

func TestCalibrateInACondition(t *testing.T) {
	got := invoke(quick(t, "--condition", "as built", "--format", "json")...)
	require.Equal(t, exitDone, got.code, got.stderr)
	assert.Contains(t, got.stdout, `"condition": "as built"`)
	var as, is struct{ Parameters []reports.CalibratedParameter }
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &as))
	require.NoError(t, json.Unmarshal([]byte(invoke(quick(t, "--format", "json")...).stdout), &is))
	assert.Less(t, as.Parameters[0].After.Median, is.Parameters[0].After.Median, "the same readings with more force mean less contact")
}

func TestCalibrateRefusesBadInput(t *testing.T) {
	for want, args := range map[string][]string{
		"nowhere.csv":               {"calibrate", demo, "nowhere.csv", "--noise", "1 K"},
		"--noise \"0.3 K\"":         {"calibrate", demo, rigData},
		"no input \"contact.fact\"": quick(t, "--update", "contact.fact"),
		"there is no condition":     quick(t, "--condition", "new"),
		"usage: clampodds":          {"calibrate", demo},
		"draws: 12":                 quick(t, "--samples", "12"),
		"workers: -1":               quick(t, "--workers", "-1"),
		"there is no column":        quick(t, "--column", "left=TC1"),
	} {
		got := invoke(args...)
		assert.Equal(t, exitUsage, got.code, want)
		assert.Contains(t, got.stderr, want)
		assert.Empty(t, got.stdout)
	}
}

func TestCalibrateEveryFormat(t *testing.T) {
	for _, form := range []string{"table", "csv", "markdown"} {
		got := invoke(quick(t, "--format", form)...)
		assert.Equal(t, exitDone, got.code, got.stderr)
		assert.Contains(t, got.stdout, "contact.factor")
		assert.Empty(t, got.stderr)
		for _, line := range strings.Split(got.stdout, "\n") {
			if form == "table" {
				assert.LessOrEqual(t, len([]rune(line)), 100, line)
			}
		}
	}
}
