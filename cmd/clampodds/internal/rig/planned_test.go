package rig

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim/calibrate"
)

// A plan made from calibrations with 1 and 4 cards against one with 10. The readings are those expected, so no luck of a test is in it; the
// likelihood is normal and the plan's form exact for a linear response, which a factor of conductance is not: 0.03 of the variance.
func TestPlanFollowsCalibrations(t *testing.T) {
	s := demo(t).Averaged()
	o := calibrate.Problem{Confidence: 0.95}
	plan, err := Plan(context.Background(), s, "contact.factor", o)
	require.NoError(t, err)
	left, err := narrowedBy(context.Background(), s, "contact.factor", 10, o)
	require.NoError(t, err)
	t.Logf("1, 4, 10, all cards leave %.3f, %.3f, %.3f (%.3f solved), %.3f", plan.Left(1), plan.Left(4), plan.Left(10), left, plan.Left(1e9))
	assert.InDelta(t, left, plan.Left(10), 0.03)
	assert.Greater(t, plan.Left(1), plan.Left(4))
	cards, ok := plan.Cards(plan.Left(4))
	assert.True(t, ok)
	assert.Equal(t, 4, cards)
	_, ok = plan.Cards(0.9 * plan.Left(1e9))
	assert.False(t, ok, "one lot leaves that much however many of its cards are read")
	_, err = Plan(context.Background(), s, "gas.altitude", o)
	assert.Error(t, err, "a constant")
}
