//go:build coverage

package decide

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// A verdict at the margin: the target is the true value, so that met and not met are
// both wrong (for the mean: by a hair), and each may come up in at most 2.5 % of
// seeds. 400 repetitions have a standard error of 0.8 %; three of them are allowed for
// (a false alarm in 700).
func TestCoverageRecordAtTheMargin(t *testing.T) {
	const repetitions = 400
	allowed := 0.025 + 3*math.Sqrt(0.025*0.975/repetitions)
	mean := dist.NormalSurvival(3 / math.Sqrt(1.25))
	quantile := dist.NormalSurvival(3 - 0.5*1.6448536269514722)
	for _, c := range []struct {
		name   string
		target float64
		policy Policy
	}{
		{"mean at the target", mean, Predictive},
		{"upper quantile over what is not known at the target", quantile, Confident},
		{"rare, seen by the screen or not", 2.5e-4, Predictive},
	} {
		limit := 3.0
		if c.target == 2.5e-4 {
			limit = math.Sqrt(1.25) * -dist.NormalQuantile(2.5e-4)
		}
		var met, notMet int
		for seed := range repetitions {
			s := setup(0, uint64(1000+seed))
			s.Policy = c.policy
			switch recordOf(t, s, partlyKnown(t, 0.5, limit, c.target)).Verdict {
			case sim.Met:
				met++
			case sim.NotMet:
				notMet++
			}
		}
		t.Logf("%s: met %d, not met %d of %d", c.name, met, notMet, repetitions)
		assert.LessOrEqual(t, float64(met)/repetitions, 2*allowed, "%s: two stages, each with half the chance of error", c.name)
		assert.LessOrEqual(t, float64(notMet)/repetitions, allowed, c.name)
	}
}

// The interval of the mean covers the exact value.
func TestCoverageRecordInterval(t *testing.T) {
	const repetitions = 400
	covered, mean := 0, dist.NormalSurvival(3/math.Sqrt(1.25))
	for seed := range repetitions {
		r := recordOf(t, setup(0, uint64(5000+seed)), partlyKnown(t, 0.5, 3, 0))
		require.Positive(t, r.Mean.Count)
		if r.Mean.Low <= mean && mean <= r.Mean.High {
			covered++
		}
	}
	t.Logf("covered %d of %d", covered, repetitions)
	// 95 %; three standard errors of 400 repetitions are 3.3 %.
	assert.GreaterOrEqual(t, float64(covered)/repetitions, 0.95-0.033)
}
