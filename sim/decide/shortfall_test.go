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
	for _, setting := range []float64{0, 2.6, 3.3, 4.2, 5.2, 8} {
		s := setup(0, 1)
		members := hotAndTight(t, setting)
		mission, err := s.Mission(background, members)
		require.NoError(t, err)
		short, err := s.Shortfall(background, members)
		require.NoError(t, err)
		verdicts[short.Verdict]++
		assert.Equal(t, mission.Verdict, short.Verdict, "at %v", setting)
		if short.Verdict == sim.Met {
			assert.Equal(t, -1, short.At.Member)
			continue
		}
		assert.Equal(t, short.Verdict, mission.At(short.At).Verdict, "at %v", setting)
		assert.Equal(t, mission.At(short.At).Requirement, short.Record.Requirement)
	}
	assert.Equal(t, map[sim.Verdict]int{sim.NotMet: 4, sim.Undecided: 1, sim.Met: 1}, verdicts)

	informative := hotAndTight(t, 4.2)
	informative[1].offset(t, 50)
	s := setup(0, 1)
	short, err := s.Shortfall(background, informative)
	require.NoError(t, err)
	assert.Equal(t, sim.NotMet, short.Verdict)
	assert.Equal(t, Place{1, 0}, short.At)
	informative[0], informative[1] = informative[1], informative[0]
	informative[0].Informative = true
	short, err = s.Shortfall(background, informative)
	require.NoError(t, err)
	assert.Equal(t, sim.Met, short.Verdict, "what is only shown is not judged")
	informative[1].offset(t, 3)
	short, err = s.Shortfall(background, informative)
	require.NoError(t, err)
	assert.Equal(t, Place{1, 0}, short.At)
}

// offset makes the first output of a member larger.
func (m *Member) offset(t *testing.T, by float64) {
	l, ok := m.Model.(linear)
	require.True(t, ok)
	l.offset = append([]float64{l.offset[0] + by}, l.offset[1:]...)
	m.Model = l
}
