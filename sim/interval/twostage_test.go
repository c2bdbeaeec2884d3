package interval

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNumericalTolerance(t *testing.T) {
	for _, c := range []struct {
		u      float64
		digits int
		want   float64
	}{
		{0.35, 2, 0.005},
		{0.35, 1, 0.05},
		{0.996, 2, 0.05}, // rounds to 1.0
		{0.994, 2, 0.005},
		{1234, 2, 50},
		{3e-120, 2, 5e-122},
	} {
		assert.InEpsilon(t, c.want, NumericalTolerance(c.u, c.digits), 1e-15, "%+v", c)
	}
	for _, u := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		assert.Panics(t, func() { NumericalTolerance(u, 2) })
	}
}

func TestBlockSize(t *testing.T) {
	assert.Equal(t, 10_000, BlockSize(0.95))
	assert.Equal(t, 100_000, BlockSize(0.999))
	assert.Equal(t, 333_334, BlockSize(0.9997))
}

func TestNextSize(t *testing.T) {
	pilot := []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10} // s² = 55/6
	// t_9 at 97.5 % is 2.2621571628 (table value): s² t²/0.5² = 187.6.
	assert.Equal(t, int64(188), NextSize(pilot, 0.5, 0.95))
	assert.Equal(t, int64(10), NextSize(pilot, 100, 0.95))
	pilot[3] = math.Inf(1)
	assert.Equal(t, int64(math.MaxInt64), NextSize(pilot, 0.5, 0.95))
	assert.Panics(t, func() { NextSize(pilot[:9], 0.5, 0.95) })
	assert.Panics(t, func() { NextSize(pilot, 0, 0.95) })
}

// Stein's guarantee: the mean of all blocks is within the tolerance at least
// as often as the level says; 3 standard errors of 2000 runs, false alarm 1e-3.
func TestNextSizeByRepetition(t *testing.T) {
	const runs, tolerance = 2000, 0.2
	random := rand.New(rand.NewPCG(4, 0))
	hits := 0
	pilot := make([]float64, MinimumPilot)
	for range runs {
		sum := 0.0
		for i := range pilot {
			pilot[i] = random.NormFloat64()
			sum += pilot[i]
		}
		size := NextSize(pilot, tolerance, 0.95)
		for range size - MinimumPilot {
			sum += random.NormFloat64()
		}
		if math.Abs(sum/float64(size)) <= tolerance {
			hits++
		}
	}
	assert.GreaterOrEqual(t, float64(hits)/runs, 0.95-3*proportionError(0.95, runs))
}
