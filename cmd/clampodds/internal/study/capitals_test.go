package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Components as drawings name them, Q1 and T1, are those of a study with q1 and t1: in keys of conditions and correlations as well.
func TestCapitalsOfComponents(t *testing.T) {
	text, err := frozen("two-face.toml")
	require.NoError(t, err)
	capital := string(text) + `
[[component]]
name = "Q1"
power = { shape = "normal", nominal = "2 W", plus_minus = "5 %", coverage = 0.95 }
resistance = "1.5 C/W"
limit = { max = "125 degC", target = 1e-3 }

[[condition]]
name = "Q1 at full load"
replace = { "component.Q1.power" = "3 W", component.Q1.resistance = "2 K/W" }

[[correlation]]
between = ["component.Q1.power", "card.power"]
rank = 0.5
`
	s, err := Parse("s.toml", []byte(capital), frozen)
	require.NoError(t, err)
	assert.Equal(t, []string{"Q1"}, s.Capitals)
	assert.InDelta(t, 1.5, s.Input("component.q1.resistance").Nominal, 1e-12)
	warm, err := s.Condition("Q1 at full load")
	require.NoError(t, err)
	assert.InDelta(t, 3, warm.Input("component.q1.power").Nominal, 1e-12)
	assert.InDelta(t, 2, warm.Input("component.q1.resistance").Nominal, 1e-12)
	assert.Contains(t, limitNames(s.sources.components), "component.q1")

	// All problems at once, with the lines where they stand, also of a component whose name will not do.
	_, err = Parse("s.toml", []byte(string(text)+`
[[component]]
name = "Q 1"
power = "2 V"
resistance = "1.5"

[[condition]]
name = "hot"
replace = { "component.Q7.power" = "3 W" }
`), frozen)
	for _, says := range []string{"needs a name of letters", `the unit "V" is not known`, "the unit is missing", "component.q7.power"} {
		assert.ErrorContains(t, err, says)
	}
}
