package question

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
	"clampodds/sim/rare"
)

// What is one method's word decides nothing, whatever its interval.
func TestOnlyEstablishedProbabilitiesDecide(t *testing.T) {
	low := rare.Probability{Value: 1e-6, Method: rare.ImportanceSampling}
	low.Low, low.High = 5e-7, 2e-6
	counted := rare.Probability{Method: rare.CrudeSampling}
	counted.High = 1e-3
	for _, c := range []struct {
		found rare.Result
		want  sim.Verdict
	}{
		{rare.Result{Evidence: rare.Established, Probability: low}, sim.Met},
		{rare.Result{Evidence: rare.NotEstablished, Probability: low}, sim.Undecided},
		{rare.Result{Evidence: rare.NoneSeen, Probability: counted}, sim.Met},
	} {
		assert.Equal(t, c.want, c.found.Judge(2e-3), c.found.Evidence)
		assert.Equal(t, c.want, answer(&study.Limit{Target: 2e-3}, c.found))
	}
	assert.Equal(t, sim.NotMet, rare.Result{Evidence: rare.Established, Probability: low}.Judge(1e-7))
	assert.Equal(t, sim.Undecided, answer(&study.Limit{}, rare.Result{Evidence: rare.NotEstablished, Probability: low}), "without a target the number itself is in doubt")
	assert.Equal(t, sim.Met, answer(&study.Limit{}, rare.Result{Evidence: rare.Established, Probability: low}))
}

func TestInterruptedWorkIsLeftBehind(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	hold := make(chan struct{})
	defer close(hold)
	err := untilInterrupted(ctx, func() error { <-hold; return nil })
	assert.ErrorContains(t, err, "interrupted")
	assert.ErrorAs(t, err, new(Stopped))
	assert.NoError(t, untilInterrupted(t.Context(), func() error { return nil }))
}
