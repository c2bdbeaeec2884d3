package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

// What the clamp maker says of the study's torque, every command says that looks at the study by it: a torque outside is not met, and
// nothing is recommended by it; screws that the tool takes outside are a caution.
func TestEveryCommandKeepsToTheMakersLimits(t *testing.T) {
	const few = "condition = []\nverdict.policy = 'predictive'\n"
	cautious := fewInputs(t, few+"torque.most = '0.775 N*m'\n")
	crowded := fewInputs(t, few+"torque.most = '0.72 N*m'\n")
	outside := fewInputs(t, few+"torque.most = '0.65 N*m'\n")
	low := fewInputs(t, few+"torque.least = '0.62 N*m'\n")
	ask := func(code int, args ...string) (text string, found map[string]any) {
		args = append(args, "--limit", "screw_stress", "--quiet")
		got := invoke(args...)
		assert.Equal(t, code, got.code, "%v %s", args, got.stderr)
		require.NoError(t, json.Unmarshal([]byte(invoke(append(args, "--format", "json")...).stdout), &found))
		if d, judged := found["decision"]; judged {
			found["decision"] = d
		} else {
			found["decision"] = found
		}
		return strings.Join(strings.Fields(got.stdout), " "), found
	}
	const notAllowed, caution = "the screw's torque of 0.7 N·m is more than the clamp maker allows, torque.most = 0.65 N·m", "of the screws get more than the clamp maker's most, 0.775 N·m, by the tool's scatter as the study states it, up to 0.8 N·m: one is too many."
	const tooMany = "17.5 % of the screws get more than the clamp maker's most, 0.72 N·m, by the tool's scatter as the study states it, up to 0.8 N·m, where at most 0.05 % may"
	for _, one := range []struct {
		args      []string
		forbidden int // its exit code
		allowed   int
	}{
		{[]string{"tail", "--evaluations", "2000"}, exitNotMet, exitDone},
		{[]string{"drivers", "--evaluations", "2000", "--samples", "1000"}, exitDone, exitDone}, // judges nothing
		{[]string{"loosen", "--input", "screw.torque"}, exitNotMet, exitDone},
		{[]string{"audit"}, exitNotMet, exitDone},
	} {
		text, found := ask(one.forbidden, append(one.args, outside)...)
		assert.Contains(t, text, notAllowed)
		assert.Equal(t, notAllowed, found["decision"].(map[string]any)["not_allowed"], one.args)
		text, _ = ask(one.forbidden, append(one.args, crowded)...)
		assert.Contains(t, text, tooMany, one.args)
		text, found = ask(one.allowed, append(one.args, cautious)...)
		if one.args[0] == "audit" {
			assert.Contains(t, text, "the 0.775 N·m that the clamp maker allows; the band ends there.")
			continue
		}
		assert.Contains(t, text, caution)
		assert.InDelta(t, dist.NormalSurvival(0.075/0.021429), found["decision"].(map[string]any)["torque_above_makers_most"].(map[string]any)["share"], 1e-5, one.args)
	}

	for _, args := range [][]string{{"run", crowded, "--samples", "600"}, {"change", cautious, crowded, "--margin", "5e-4"}} {
		got := invoke(append(args, "--quiet")...)
		assert.Equal(t, exitNotMet, got.code, got.stderr)
		assert.Contains(t, strings.Join(strings.Fields(got.stdout), " "), tooMany, args)
	}

	text, _ := ask(exitNotMet, "loosen", "--input", "screw.torque", outside)
	assert.Contains(t, text, "Nothing is to be loosened at a torque that is not allowed")
	assert.NotContains(t, text, " yes ")
	text, _ = ask(exitNotMet, "loosen", "--input", "screw.torque", crowded)
	assert.Contains(t, text, "Nothing is to be loosened at a torque that is not allowed")
	text, _ = ask(exitDone, "loosen", "--input", "screw.torque", cautious)
	assert.Contains(t, text, "it may grow 1.0", "3.29 standard deviations, now 3.5")
	assert.Contains(t, text, "torque.most: not allowed")

	text, _ = ask(exitNotMet, "audit", outside)
	assert.Contains(t, text, "NO: "+notAllowed+", and no audit makes it allowed")
	assert.NotContains(t, text, "read 450")
	text, _ = ask(exitDone, "audit", low)
	assert.Contains(t, text, "With every screw inside the band, 0.62 N·m to 0.8 N·m")
	assert.Contains(t, text, "read 450 of 500 screws and accept the lot only with none below 0.62 N·m and")
	assert.Contains(t, text, "A lot with any loose screw, taken as 0.31 N·m, below the 0.62 N·m that the clamp maker allows, or 70")
	assert.Contains(t, text, "By the targets alone every screw of a lot might be as loose as 0.31 N·m; that is no reason to accept one.")
	assert.Contains(t, text, "get less than the 0.62 N·m that the clamp maker allows; the band begins there.")
	refused := invoke("audit", low, "--low", "0.6 N*m", "--quiet")
	assert.Equal(t, exitUsage, refused.code)
	assert.Contains(t, refused.stderr, "below 0.62 N·m, the least that the clamp maker allows (torque.least in the study)")
}
