package rig

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim/calibrate"
)

// A plan made from calibrations with 1 and 4 cards against one with 10, and one of 3 lots of 5. The readings are those expected, so no luck of a test is in it; the
// likelihood is normal and the plan's form exact for a linear response, which a factor of conductance is not: 0.03 of the variance.
func TestPlanFollowsCalibrations(t *testing.T) {
	s := demo(t).Averaged()
	o := calibrate.Problem{Confidence: 0.95}
	plan, err := Plan(context.Background(), s, "contact.factor", o)
	require.NoError(t, err)
	for _, test := range [][2]int{{1, 10}, {3, 5}} {
		left, err := narrowedBy(context.Background(), s, "contact.factor", test[0], test[1], o)
		require.NoError(t, err)
		planned := plan.Left(float64(test[0]), float64(test[1]))
		t.Logf("%d lots of %d cards leave %.3f, solved %.3f; card, lot, rest %.3f", test[0], test[1], planned, left, plan)
		assert.InDelta(t, left, planned, 0.03)
	}
	assert.Greater(t, plan.Left(1, 1), plan.Left(1, 4))
	assert.Greater(t, plan.Left(1, 4), plan.Left(4, 4))
	lots, cards, ok := plan.Test(plan.Left(1, 4))
	assert.True(t, ok)
	assert.Equal(t, [2]int{1, 4}, [2]int{lots, cards})
	lots, _, ok = plan.Test(0.99 * plan.Left(1, 1e9))
	assert.True(t, ok)
	assert.Greater(t, lots, 1, "one lot leaves that much however many of its cards are read")
	_, _, ok = plan.Test(0.9 * plan.Left(1e9, 1))
	assert.False(t, ok, "and all lots this much")
	_, err = Plan(context.Background(), s, "gas.altitude", o)
	assert.Error(t, err, "a constant")
}
