package interval

import (
	"math"
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
