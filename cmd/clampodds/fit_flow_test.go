package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/reports"
)

// screwStudy is the frozen study in which nothing but the torque scatters that the
// stress of the screw depends on, with another limit of that stress.
func screwStudy(t *testing.T, torque string, limit float64) string {
	t.Helper()
	base, err := filepath.Abs(frozen)
	require.NoError(t, err)
	return write(t, "screw.toml", fmt.Sprintf(`extends = %q
condition = []
correlation = []
cost = []
clamp.pieces = 3
[screw]
torque = %s
prevailing_torque = "0.06 N*m"
thread_friction = 0.14
head_friction = 0.15
preload_loss = "10 %%"
[limits]
screw_stress = { max = %.17g, target = 1e-3 }
`, base, torque, limit))
}

// limitOf reads the result of one requirement.
func limitOf[L any](t *testing.T, list []L, is func(L) bool) L {
	t.Helper()
	i := slices.IndexFunc(list, is)
	require.GreaterOrEqual(t, i, 0)
	return list[i]
}

// stressAt is the utilisation of the screw at a torque without scatter.
func stressAt(t *testing.T, torque string) float64 {
	t.Helper()
	got := invoke("nominal", screwStudy(t, `"`+torque+`"`, 1), "--format", "json", "--quiet")
	var n struct{ Limits []reports.NominalLimit }
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &n), got.stderr)
	return limitOf(t, n.Limits, func(l reports.NominalLimit) bool { return l.Output == "utilisation.screw" }).Value
}

// From the readings to the statement of a run: 12 and 1200 readings of the same mean
// and spread, against a limit four standard deviations out. With one edge the card
// exceeds as often as Student's t with n-1 degrees of freedom, with two edges at
// most twice as often. Each is found to 10 %; the intervals printed have level 95 %, and
// the seed is fixed.
func TestAnAuditOf12And1200ReadingsThroughARun(t *testing.T) {
	long(t)
	limit := stressAt(t, "0.78 N*m")
	statement := func(n int) (low, high float64) {
		f := fitOf(t, audit(t, n), "--family", "normal", "--bootstrap", "0")
		got := invoke("run", screwStudy(t, f.Entry, limit), "--samples", "6000", "--until", "screw_stress=20%", "--no-conditions", "--no-knowledge", "--format", "json", "--quiet")
		var r struct{ Requirements []reports.Requirement }
		require.NoError(t, json.Unmarshal([]byte(got.stdout), &r), got.stderr)
		card := limitOf(t, r.Requirements, func(r reports.Requirement) bool { return r.Quantity == "utilisation.screw" }).PerCard
		student, err := dist.NewStudentT(float64(n-1), 0.70, 0.02*math.Sqrt(1+1/float64(n)))
		require.NoError(t, err)
		assert.LessOrEqual(t, card.Low, 2*student.Survival(0.78), "%d readings", n)
		assert.GreaterOrEqual(t, card.High, student.Survival(0.78), "%d readings", n)
		return card.Low, card.High
	}
	few, _ := statement(12)
	_, many := statement(1200)
	t.Logf("at least %.3g with 12 readings, at most %.3g with 1200", few, many)
	assert.Greater(t, few, 5*many, "the intervals of the two statements lie far apart")
}

// Columns of one file are drawn together, and check says so. Ranks 1 2 3 4 against
// 1 3 2 4: Spearman 1 - 6*2/(4*15) = 0.8.
func TestCheckShowsWhatIsDrawnTogether(t *testing.T) {
	base, err := filepath.Abs(frozen)
	require.NoError(t, err)
	data := write(t, "pairs.csv", "set,run\n0.68,0.05\n0.69,0.07\n0.70,0.06\n0.71,0.08\n")
	column := func(name string) string {
		return fmt.Sprintf(`{ shape = "measured", file = %q, column = %q, unit = "N*m" }`, data, name)
	}
	measured := write(t, "measured.toml", fmt.Sprintf("extends = %q\n[screw]\ntorque = %s\nprevailing_torque = %s\n", base, column("set"), column("run")))
	got := invoke("check", measured, "--quiet")
	require.Equal(t, exitDone, got.code, got.stderr)
	assert.Regexp(t, `screw\.thread_friction +screw\.head_friction +0\.600`, got.stdout)
	assert.Regexp(t, `screw\.torque +screw\.prevailing_torque +0\.800 +measured\.toml:4`, got.stdout)
}
