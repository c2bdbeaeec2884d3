package question

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim/decide"
)

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

// The tool's scatter, 6 % at 95 % about 0.70 N·m and cut at 0.60 and 0.80, takes half of the screws above 0.70 and none above 0.80.
func TestScrewsAboveTheMakersMostAfterAChange(t *testing.T) {
	before, after := loadDemo(t), loadDemo(t)
	assert.Nil(t, aboveMost(before, after), "nobody says")
	after.Tool.Most = 0.80
	assert.Nil(t, aboveMost(before, after))
	after.Tool.Most = 0.70
	found := aboveMost(before, after)
	require.NotNil(t, found)
	assert.InDelta(t, 0.5, found.After, 1e-9)
	assert.Equal(t, []any{found.After, "0.7 N·m", "0.8 N·m"}, []any{found.Before, found.MostText, found.Reach})
}
