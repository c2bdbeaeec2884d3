package decide

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim"
)

// What decides is told as by Mission, to the last bit, wherever the setting lies; where it is not met the records that are
// nearer to their targets are those of the screen.
func TestMissionToWorstTellsWhatDecides(t *testing.T) {
	left := map[sim.Verdict]int{}
	s := setup(0, 1)
	for _, setting := range []float64{2.6, 3.3, 4.2, 5.2} {
		members := hotAndTight(t, setting)
		whole, err := s.Mission(background, members)
		require.NoError(t, err)
		short, err := s.MissionToWorst(background, members)
		require.NoError(t, err)
		require.Equal(t, whole.Worst, short.Worst, "at %v", setting)
		assert.Equal(t, whole.Verdict, short.Verdict, "at %v", setting)
		assert.Equal(t, whole.At(whole.Worst), short.At(short.Worst), "at %v", setting)
		assert.Equal(t, whole.Alike(whole.Worst), short.Alike(short.Worst), "at %v", setting)
		for i := range members {
			for k := range whole.Records[i] {
				if !assert.ObjectsAreEqual(whole.Records[i][k], short.Records[i][k]) {
					left[whole.Verdict]++
				}
			}
		}
	}
	assert.Positive(t, left[sim.NotMet], "that it leaves records out")
	delete(left, sim.NotMet)
	assert.Empty(t, left, "of a mission that is met, or undecided, it leaves none")
}

// A member that is only shown decides nothing, so nothing is held against it, and it is shown in full.
func TestMissionToWorstHoldsNothingAgainstWhatIsShown(t *testing.T) {
	s := setup(0, 3)
	members := []Member{hotter(t, "as written", 0, 0.01), hotter(t, "hot day", 1.5, 0.01)}
	members[1].Informative = true
	whole, err := s.Mission(background, members)
	require.NoError(t, err)
	short, err := s.MissionToWorst(background, members)
	require.NoError(t, err)
	assert.Equal(t, whole.Records, short.Records)
	assert.Equal(t, sim.Met, short.Verdict)
}
