//go:build coverage

package question

import (
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
)

// Between two torques, or contact factors, that were computed the page interpolates value and
// bounds on a logarithmic scale (explore.js). The probability there, counted on five times as many cards
// of another seed, lies inside the interpolated bounds in 19 of 20 cases (108 of 108 torques and 156 of 163 factors were seen). The cases share
// their cards, so that the rate scatters: 85 % would be a miss of more than three standard
// errors if 6 settings with some 3 independent limits each count as 18 cases.
func TestExploreBracketsARunBetweenItsSettings(t *testing.T) {
	s, err := study.Load("../../../../testdata/frozen/two-face.toml")
	require.NoError(t, err)
	now := s.Input(TorqueKey).Nominal
	e, err := (&Exploring{From: 0.7 * now, To: 1.3 * now, Sampling: Sampling{Samples: exploreCards}}).Explore(t.Context(), s)
	require.NoError(t, err)
	brackets := func(name string, settings []float64, least int, of func(reports.ExploreRequirement) []reports.ExplorePoint, at func(x float64) (*study.Study, float64)) {
		inside, all := 0, 0
		for i := range settings[1:] {
			if i%2 == 1 {
				continue // half of them say enough
			}
			between, torque := at((settings[i] + settings[i+1]) / 2)
			counted := countedBetween(t, between, torque, exploredLimits(s))
			for k, q := range e.Conditions[0].Requirements {
				low, high := of(q)[i], of(q)[i+1]
				if low.Value == 0 || high.Value == 0 || !q.Moved {
					continue
				}
				all++
				if p := counted[k]; math.Sqrt(low.Low*high.Low) <= p && p <= math.Sqrt(low.High*high.High) {
					inside++
				}
			}
		}
		t.Logf("%s: inside %d of %d", name, inside, all)
		assert.Greater(t, all, least, name)
		assert.Greater(t, float64(inside), 0.85*float64(all), name)
	}
	brackets("torques", e.Torques, 100, func(q reports.ExploreRequirement) []reports.ExplorePoint { return q.Points }, func(x float64) (*study.Study, float64) { return s, x })
	brackets("contact factors", e.Factors, 120, func(q reports.ExploreRequirement) []reports.ExplorePoint { return q.AtFactors }, func(x float64) (*study.Study, float64) {
		return s.Known(contactFactorKey, x), now
	})
}

// Cards that are spared between two settings change no count: of 20 000 cards of each of the demo studies,
// as written and in a condition, from half to one and a half of the torque. SPARED_CARDS in place of 20 000.
func TestExploredCardsThatAreSparedChangeNothing(t *testing.T) {
	for _, name := range []string{"two-face", "four-face", "inch", "finish-change"} {
		s, err := study.Load("../../../../testdata/studies/" + name + ".toml")
		require.NoError(t, err)
		now := s.Input(TorqueKey).Nominal
		ask := func(whole bool) *reports.Explore {
			x := Exploring{From: 0.5 * now, To: 1.5 * now, Sampling: Sampling{Samples: int64(often("SPARED_CARDS", exploreCards))}, whole: whole}
			if len(s.Conditions) > 0 {
				x.Condition = s.Conditions[0].Name
			}
			e, err := x.Explore(t.Context(), s)
			require.NoError(t, err)
			e.Shown = reports.Unit{} // a function
			return e
		}
		want, got := ask(true), ask(false)
		for k, c := range want.Conditions {
			for i, q := range c.Requirements {
				assert.Equal(t, q.Points, got.Conditions[k].Requirements[i].Points, "%s %s %s %v", name, c.Name, q.Label, q.Limit)
				assert.Equal(t, q.AtFactors, got.Conditions[k].Requirements[i].AtFactors, "%s %s %s %v", name, c.Name, q.Label, q.Limit)
			}
		}
	}
}

// often is how often something is done: as a variable of the environment says, or as usual.
func often(variable string, usual int) int {
	if n, err := strconv.Atoi(os.Getenv(variable)); err == nil {
		return n
	}
	return usual
}

// countedBetween are the probabilities of the limits, on cards of their own.
func countedBetween(t *testing.T, s *study.Study, torque float64, limits []sim.Requirement) (p []float64) {
	one, err := new(Exploring).scenario(s, torque, limits)
	require.NoError(t, err)
	seed := uint64(71)
	run := Sampling{Seed: &seed, Samples: 5 * exploreCards}.Run(s, one)
	run.LimitsOnly = true
	found, err := run.Execute(t.Context())
	require.NoError(t, err)
	for _, q := range found.Scenarios[0].Requirements {
		p = append(p, q.Exceeded.PerRow().Value)
	}
	return p
}
