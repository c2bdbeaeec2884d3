//go:build coverage

package question

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
)

// Between two torques that were computed the page interpolates value and bounds on a
// logarithmic scale (explore.js). The probability there, counted on five times as many cards
// of another seed, lies inside the interpolated bounds in 19 of 20 cases (108 of 108 were seen). The cases share
// their cards, so that the rate scatters: 85 % would be a miss of more than three standard
// errors if 6 torques with some 3 independent limits each count as 18 cases.
func TestExploreBracketsARunBetweenItsTorques(t *testing.T) {
	s, err := study.Load("../../../../testdata/frozen/two-face.toml")
	require.NoError(t, err)
	now := s.Input(TorqueKey).Nominal
	seed := uint64(71)
	e, err := (&Exploring{From: 0.7 * now, To: 1.3 * now, Sampling: Sampling{Samples: exploreCards}}).Explore(t.Context(), s)
	require.NoError(t, err)
	inside, all := 0, 0
	for i := range e.Torques[1:] {
		if i%2 == 1 {
			continue // half of them say enough
		}
		middle := (e.Torques[i] + e.Torques[i+1]) / 2
		limits := exploredLimits(s)
		one, err := new(Exploring).scenario(s, middle, limits)
		require.NoError(t, err)
		run := Sampling{Seed: &seed, Samples: 5 * exploreCards}.Run(s, one)
		run.LimitsOnly = true
		found, err := run.Execute(t.Context())
		require.NoError(t, err)
		for k, q := range e.Conditions[0].Requirements {
			low, high := q.Points[i], q.Points[i+1]
			p := found.Scenarios[0].Requirements[k].Exceeded.PerRow().Value
			if low.Value == 0 || high.Value == 0 || !q.Moved {
				continue
			}
			between := func(a, b float64) float64 { return math.Sqrt(a * b) }
			all++
			if between(low.Low, high.Low) <= p && p <= between(low.High, high.High) {
				inside++
			}
		}
	}
	t.Logf("inside: %d of %d", inside, all)
	assert.Greater(t, all, 100)
	assert.Greater(t, float64(inside), 0.85*float64(all))
}
