package decide

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/sim"
)

// An interval shrinks with the square root of the rows: half as far as it reaches takes
// four times as many, whichever bound has to come to the margin.
func TestNeededIsTheSquareOfTheReach(t *testing.T) {
	verdict, needed := judgeBounds(0.5, 0.4, 1.5, 1, 1000)
	assert.Equal(t, sim.Undecided, verdict)
	assert.Equal(t, int64(4000), needed)
	_, needed = judgeBounds(1.5, 0.5, 1.6, 1, 1000)
	assert.Equal(t, int64(4000), needed)
	_, needed = judgeBounds(1, 0.5, 1.5, 1, 1000)
	assert.Equal(t, int64(math.MaxInt64), needed, "on the margin no number decides")
	verdict, needed = judgeBounds(0.5, 0.4, 1, 1, 1000)
	assert.Equal(t, sim.Met, verdict)
	assert.Zero(t, needed)
}
