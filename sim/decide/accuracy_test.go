package decide

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim"
	"clampodds/sim/result"
	"clampodds/sim/strata"
)

// A finer accuracy narrows a mean in proportion, to within the fifth by which the rows are planned, and what it takes is
// said before: nothing where the verdict is clear or the mean never seen.
func TestAFinerAccuracySettles(t *testing.T) {
	s := setup(0, 7)
	s.Policy = Predictive
	width := func() (relative float64, r Record) {
		r = recordOf(t, s, partlyKnown(t, 0.5, 3, 3.6e-3)) // the mean is 3.645e-3
		return (r.Mean.High - r.Mean.Low) / 2 / r.Mean.Value, r
	}
	usual, open := width()
	require.Equal(t, Cards, open.Want)
	by := open.SettledBy(DefaultAccuracy, 0.02)
	require.NotNil(t, by)
	assert.Equal(t, 0.02, by.Accuracy, "the target lies an eighth of the interval away")
	assert.InDelta(t, 25, by.Rows, 1e-9, "rounding")
	assert.Equal(t, &result.Settling{Accuracy: 0.02, Rows: 1}, open.SettledBy(0.02, 0.02), "no finer one")
	s.Accuracy = 0.02
	fine, _ := width()
	assert.InEpsilon(t, 5, usual/fine, 0.2)

	clear := Record{Requirement: open.Requirement, Mean: open.Mean}
	clear.Requirement.Target = 1
	assert.Nil(t, clear.SettledBy(DefaultAccuracy, 0.02), "the bound, where nothing is kept apart")
	unseen := Record{Requirement: open.Requirement, Mean: sim.Estimate{Interval: sim.Interval{High: 0.01}, Level: 0.95}, Want: Cards}
	assert.Nil(t, unseen.SettledBy(DefaultAccuracy, 0.02))
}

// What the rows may show where nothing is left out, more of them take off: only what is beyond it stays.
func TestLastingMisfitIsWhatNoiseDoesNotAccountFor(t *testing.T) {
	assert.InDelta(t, 0.4, lastingMisfit(&strata.Unknown{Misfit: 0.5, MisfitNoise: 0.3}), 1e-12, "rounding")
	assert.Equal(t, leastMisfit, lastingMisfit(&strata.Unknown{Misfit: 0.04, MisfitNoise: 0.05}))
}
