package question

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/sim"
	"clampodds/sim/rare"
)

// Without a target, an established probability is the answer, and any other is in doubt.
func TestAnswerWithoutATarget(t *testing.T) {
	for evidence, want := range map[rare.Evidence]sim.Verdict{rare.Established: sim.Met, rare.NoneSeen: sim.Met, rare.NotEstablished: sim.Undecided} {
		assert.Equal(t, want, established(rare.Result{Evidence: evidence}), evidence)
	}
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
