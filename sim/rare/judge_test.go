package rare

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/sim/result"
)

// A probability that is not established decides nothing, however far its interval lies from
// the target; that of no failure seen is an exact bound.
func TestOnlyWhatIsEstablishedDecides(t *testing.T) {
	found := func(e Evidence) Result {
		return Result{Evidence: e, Probability: Probability{Value: 1e-6, Interval: result.Interval{Low: 5e-7, High: 2e-6}}}
	}
	for _, e := range []Evidence{Established, NoneSeen} {
		assert.Equal(t, result.Met, found(e).Judge(2e-3), e)
		assert.Equal(t, result.NotMet, found(e).Judge(1e-7), e)
	}
	assert.Equal(t, result.Undecided, found(NotEstablished).Judge(2e-3))
	assert.Equal(t, result.Undecided, found(NotEstablished).Judge(1e-7))
	assert.Equal(t, result.NoTarget, found(NotEstablished).Judge(0))
}
