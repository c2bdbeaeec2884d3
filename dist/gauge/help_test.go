package gauge

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// study makes readings of one row of text for each part, the operators one after the other,
// each with so many repeats.
func study(t testing.TB, text string, repeats int) []Reading {
	t.Helper()
	var readings []Reading
	for i, line := range strings.Split(strings.TrimSpace(text), "\n") {
		for j, cell := range strings.Fields(line) {
			var x float64
			_, err := fmt.Sscan(cell, &x)
			require.NoError(t, err)
			readings = append(readings, Reading{Part: fmt.Sprint(i + 1), Operator: string(rune('A' + j/repeats)), Value: x, Line: len(readings) + 2})
		}
	}
	return readings
}

func analysed(t testing.TB, readings []Reading, model Model) *Study {
	t.Helper()
	s, err := New(readings, model, 0.95)
	require.NoError(t, err)
	return s
}
