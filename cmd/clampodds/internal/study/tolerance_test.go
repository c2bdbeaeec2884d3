package study

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a study does not take of a drawing it tells how to write, and takes that as it stands.
func TestToleranceOfADrawingInAStudy(t *testing.T) {
	told := regexp.MustCompile(`in place of the text write (\{.*\})\)`)
	const power, size = `{ shape = "normal", mean = "44 W", sd = "1.5 W", source = "power budget, invented" }`, `{ value = "6 mm", source = "clamp drawing, invented" }`
	for _, c := range []struct{ old, typed, line string }{
		{power, "14 W +- 5 %", `{ shape = "normal", nominal = "14 W", plus_minus = "5 %", coverage = 0.95 }`},
		{power, "14 W ± 0.5", `{ shape = "normal", nominal = "14 W", plus_minus = "0.5 W", coverage = 0.95 }`},
		{power, "14 +/- 0.5 W", `{ shape = "normal", nominal = "14 W", plus_minus = "0.5 W", coverage = 0.95 }`},
		{power, "40 to 44 W", `{ shape = "uniform", low = "40 W", high = "44 W" }`},
		{size, "6 mm +- 0.05", `{ shape = "uniform", nominal = "6 mm", plus_minus = "0.05 mm" }`},
		{size, "5.9 mm to 6 mm", `{ shape = "uniform", low = "5.9 mm", high = "6 mm" }`},
	} {
		_, err := example(t, "two-face.toml", c.old, `"`+c.typed+`"`)
		require.Error(t, err, c.typed)
		hint := told.FindStringSubmatch(err.Error())
		require.NotNil(t, hint, err)
		assert.Equal(t, c.line, hint[1])
		_, err = example(t, "two-face.toml", c.old, hint[1])
		assert.NoError(t, err, c.typed)
	}
	assert.Equal(t, `{ shape = "normal", nominal = "55 degC", plus_minus = "3 K", coverage = 0.95 }`, toleranceLine("55 +- 3 degC", "K"), "degrees of a difference")
	for _, none := range []string{"14 W", "14 W +- 5 V", "14 W +- x %", "44 to 40 W", "14 V +- 5 %", "+- 5 %", "1e+3 W", "14 W +- -1 W"} {
		assert.Empty(t, toleranceLine(none, "W"), none)
	}
}
