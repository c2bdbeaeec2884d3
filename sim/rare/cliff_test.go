package rare

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Beyond a cliff at z0 < -3.9 the limit state is lower by 3: failures there, Φ(-3.9)
// Φ(-1.8) in all, are as many as those that the slope of the other variable leads to,
// Φ(-4.8), and more. No slope leads to them.
func TestCliffIsNotMissed(t *testing.T) {
	const edge, slope, beyond = 3.9, 4.8, 3
	problem := problem(20, func(u []float64) float64 {
		g := slope - u[1]
		if u[0] < -edge {
			g -= beyond
		}
		return g
	})
	exact := tail(slope) + tail(edge)*(tail(slope-beyond)-tail(slope))
	require.Greater(t, exact, 2*tail(slope))
	for seed := range uint64(5) {
		r, err := Estimate(problem, usual(seed))
		require.NoError(t, err)
		// Four times the standard error aimed at, a tenth: a false alarm once in 3000.
		assert.InEpsilon(t, exact, r.Importance.Union.Value, 0.4, "importance sampling, seed %d", seed)
		assert.True(t, r.Probability.Low <= exact && exact <= r.Probability.High || r.Verdict != Agree, "seed %d: %+v", seed, r.Probability)
	}
}

// A slope, however curved like a parabola, is no cliff.
func TestParabolaIsNoCliff(t *testing.T) {
	a := assessment{meter: &meter{Problem: problem(3, func(u []float64) float64 { return 20 - u[0]*u[0] + math.Sin(u[1]) - u[2] })}, Options: usual(1)}
	a.allow(5000)
	assert.Empty(t, a.cliffs(newScreen(a.meter, a.Stream, 10, 10)))
}
