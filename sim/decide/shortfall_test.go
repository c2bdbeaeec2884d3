package decide

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/sim"
)

// The verdict is that of the whole mission: far off on either side, on average, in the
// second condition alone, and over what is not known alone.
func TestShortfallIsTheVerdictOfTheMission(t *testing.T) {
	verdicts := map[sim.Verdict]int{}
	s := setup(0, 1)
	for _, setting := range []float64{0, 2.6, 3.3, 4.2, 5.2, 8} {
		members := hotAndTight(t, setting)
		mission, err := s.Mission(background, members)
		require.NoError(t, err)
		short, err := s.Shortfall(background, members)
		require.NoError(t, err)
		verdicts[short.Verdict]++
		assert.Equal(t, mission.Verdict, short.Verdict, "at %v", setting)
		assert.Equal(t, short.Verdict, mission.At(short.Worst).Verdict, "at %v", setting)
		assert.Equal(t, short.Verdict, short.At(short.Worst).Verdict, "at %v", setting)
	}
	assert.Equal(t, map[sim.Verdict]int{sim.NotMet: 4, sim.Undecided: 1, sim.Met: 1}, verdicts)
}

func TestShortfallLooksAtJudgedMembers(t *testing.T) {
	s := setup(0, 1)
	of := func(members []Member) *Mission {
		short, err := s.Shortfall(background, members)
		require.NoError(t, err)
		return short
	}
	members := hotAndTight(t, 4.2)
	hot := members[1].Model.(linear)
	hot.offset = []float64{hot.offset[0] + 50, hot.offset[1]}
	members[1].Model = hot
	assert.Equal(t, Place{1, 0}, of(members).Worst)
	members[1].Informative = true
	assert.Equal(t, sim.Met, of(members).Verdict)
}
