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
