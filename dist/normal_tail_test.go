package dist

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// math.Erfc errs by less than 1e-15 of itself; the argument's rounding, 1e-16 z, counts z times.
func TestTailTable(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	check := func(z float64) {
		tolerance := 2e-15 + 3e-16*z*z
		if z > 6 {
			tolerance += 1e-14
		}
		require.InEpsilon(t, NormalSurvival(z), tail(z), tolerance, "z = %v", z)
		require.Equal(t, tail(z), tail(-z))
	}
	for range 100_000 {
		check(8.5 * random.Float64())
	}
	for i := range tailCells + 2 { // the borders of cells
		z := float64(i) / 64
		check(z)
		check(math.Nextafter(z, 100))
		check(math.Abs(math.Nextafter(z, -1)))
	}
	assert.Zero(t, tail(math.Inf(1)))
	assert.True(t, math.IsNaN(tail(math.NaN())))
}

// The normal table to 15 digits (Abramowitz and Stegun, table 26.1, from memory): P at 1, 2 and 3.
func TestTailsOfTheNormalTable(t *testing.T) {
	for z, want := range map[float64]float64{1: 1 - 0.841344746068543, 2: 1 - 0.977249868051821, 3: 1 - 0.998650101968370} {
		assert.InDelta(t, want, tail(z), 1e-15, "the digits printed")
	}
}
