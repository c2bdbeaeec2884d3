package study

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// warnedOf are the warnings of the demo with something in place of what it says.
func warnedOf(t *testing.T, text string) string {
	t.Helper()
	s, err := withOptions(text)
	require.NoError(t, err, text)
	var lines []string
	for _, w := range s.Warnings {
		lines = append(lines, w.String())
	}
	return strings.Join(lines, "\n")
}

// Slips that are possible values: each is said, with what is wrong.
func TestSlipsThatArePossibleValues(t *testing.T) {
	for text, said := range map[string]string{
		`limits.spot = { max = "85 degC", target = 0.2 }`:                                                                               "limits.spot: a target of 0.2 is unusual: practice shows up to 0.1.",
		`limits.spot = { max = "355 degC", target = 2e-3 }`:                                                                             "limits.spot: 355 °C is unusual: practice shows 0 °C to 125 °C",
		`limits.spot = { max = "54 degC", target = 2e-3 }`:                                                                              "limits.spot: 54 °C is not above the cold wall, nominal 55 °C",
		`face.direct.flatness = { shape = "half-normal", p95 = "0.025 um" }`:                                                            "face.direct.flatness: 0.0086033 µm is unusual",
		`screw.torque = { shape = "normal", mean = "0.70 N*m", sd = "0.02 N*m", low = "0.80 N*m", high = "0.90 N*m", source = "tool" }`: "screw.torque: low and high leave a share of 2.9e-07",
		`slot.width = { shape = "uniform", low = "10.55 mm", high = "10.65 mm" }`:                                                       "slot.width: the card does not go in: flange 3 mm and retracted clamp 8 mm are 0.4 mm thicker than the slot, 10.6 mm",
		`slot.width = { shape = "uniform", low = "12.55 mm", high = "12.65 mm" }`:                                                       "slot.width: the clamp runs out of travel: it would have to expand by 1.6 mm and can by 1.1 mm",
	} {
		assert.Contains(t, warnedOf(t, text), said)
	}
}

// A list that replaces that of the base names what it leaves out; one that repeats it, or is empty, does not.
func TestListThatReplacesThatOfTheBase(t *testing.T) {
	const aged = "[[condition]]\nname = \"aged\"\nreplace = { \"wall.temperature\" = \"60 degC\" }\n"
	all := warnedOf(t, aged)
	assert.Contains(t, all, "s.toml:2: condition: as built, hot day on the ground, ")
	assert.Contains(t, all, " of two-face.toml is left out: [[condition]] replaces the list of the base as a whole; repeat here what is to stay [list-replaced]")
	assert.Contains(t, warnedOf(t, "[[correlation]]\nbetween = [\"screw.thread_friction\", \"friction.ramp\"]\nrank = 0.2\n"),
		"correlation: screw.thread_friction and screw.head_friction of two-face.toml is left out")
	assert.Empty(t, warnedOf(t, "condition = []"))
	assert.Empty(t, warnedOf(t, `title = "another"`))
}

// A condition or a choice may make constant what is correlated: the correlation goes, as nothing varies with
// it. In the study as written it is refused.
func TestConstantThatWasCorrelated(t *testing.T) {
	const fixed = "replace = { \"screw.thread_friction\" = 0.2 }"
	s, err := withOptions("condition = [{ name = \"old screw\", " + fixed + " }]\noption = [{ name = \"screw\", choices = [{ name = \"as it is\", cost = 0 }, { name = \"old\", cost = 0, " + fixed + " }] }]\n")
	require.NoError(t, err)
	require.NotEmpty(t, s.Correlations)
	old, err := s.Condition("old screw")
	require.NoError(t, err)
	assert.Empty(t, old.Correlations)
	_, err = withOptions("screw.thread_friction = 0.2\n")
	assert.ErrorContains(t, err, "this input is constant and correlates with nothing (give it a spread, or leave the correlation out)")
}
