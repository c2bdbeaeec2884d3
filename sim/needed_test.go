package sim

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/sim/interval"
	"clampodds/sim/result"
)

func TestNeededOfNoEventsIsTheClosedForm(t *testing.T) {
	e := Estimate{Interval: result.Interval{High: interval.UpperBoundZero(500, 0.95)}, Level: 0.95, N: 1000, EffectiveN: 500, Count: 0}
	// ln(0.05)/ln(1-p) independent rows, twice as many of these.
	want := 2 * math.Log(0.05) / math.Log1p(-1e-4)
	assert.InEpsilon(t, want, float64(e.Needed(1e-4)), 2e-3, "a thousandth is the step of the search")
	assert.Zero(t, e.Needed(0.01), "decided already")
}

func TestNeededDecides(t *testing.T) {
	for _, count := range []float64{8, 12} {
		low, high := interval.ClopperPearson(count, 1000, 0.95)
		e := Estimate{Value: count / 1000, Interval: result.Interval{Low: low, High: high}, Level: 0.95, N: 1000, EffectiveN: 1000, Count: int64(count)}
		n := float64(e.Needed(0.01))
		assert.Greater(t, n, 5000.0)
		excludes := func(n float64) bool {
			low, high := interval.ClopperPearson(e.Value*n, n, 0.95)
			return high <= 0.01 || low > 0.01
		}
		assert.True(t, excludes(n))
		assert.False(t, excludes(n*0.998), "less would not do")
	}
	low, high := interval.ClopperPearson(10, 1000, 0.95)
	at := Estimate{Value: 0.01, Interval: result.Interval{Low: low, High: high}, Level: 0.95, N: 1000, EffectiveN: 1000, Count: 10}
	assert.Equal(t, int64(math.MaxInt64), at.Needed(0.01), "at the target itself nothing decides")
}
