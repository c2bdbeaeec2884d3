//go:build coverage

package loosen

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim/decide"
)

// How often an end lies beyond the true one: where a position is met the upper end of the interval
// of the probability is at or below the target, by two stages of 2.5 % each and a glance at a
// fiftieth of that. All positions share the draws, so that the search does not add to it. Three
// standard errors of so many repetitions are allowed for (a false alarm in 700). So it is of an end
// that is near enough, looked for on the same rows at half the accuracy, as ends on average are.
func TestCoverageEndOfATolerance(t *testing.T) {
	const repetitions = 300
	m, err := Widen(demo.inputs(t), "a")
	require.NoError(t, err)
	for _, c := range []struct{ accuracy, near, most float64 }{{0.1, 0, 0.1}, {0.2, 0.97, 0.15}} {
		beyond, room := 0.0, 0.0
		for seed := range uint64(repetitions) {
			s := demo.search(t, 7000+seed)
			s.Accuracy, s.Near = c.accuracy, c.near
			if c.near > 0 {
				s.sameRows(t)
			}
			w := window(t, s, m, nil)
			require.Equal(t, decide.Found, w.Upper.State)
			if w.Upper.Met > demo.factor(0) {
				beyond++
			}
			room += (demo.factor(0) - w.Upper.Met) / repetitions
		}
		t.Logf("%+v: beyond the true end %v of %d, on average %.3f inside it", c, beyond, repetitions, room)
		assert.LessOrEqual(t, beyond/repetitions, 0.05+3*math.Sqrt(0.05*0.95/repetitions))
		assert.Less(t, room, c.most, "an end that is always safe would say nothing")
	}
}
