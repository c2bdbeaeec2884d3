package lanes

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestExp(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 100_000 {
		for _, width := range []float64{1400, 4, 1e-6} {
			x := width * (random.Float64() - 0.5)
			// Both err by less than a unit in the last place, 2.2e-16.
			require.InEpsilon(t, math.Exp(x), Exp(x), 4.5e-16, "x = %v", x)
		}
	}
	for n := -1000.0; n <= 1000; n++ { // the borders between entries of the table
		x := (n + 0.5) * math.Ln2 / 128
		require.InEpsilon(t, math.Exp(x), Exp(x), 4.5e-16, "x = %v", x)
	}
	for _, x := range []float64{0, -750, 720, math.Inf(1), math.Inf(-1)} {
		assert.Equal(t, math.Exp(x), Exp(x))
	}
	assert.True(t, math.IsNaN(Exp(math.NaN())))
}

// A row has the bits of single numbers, whatever lies in it.
func TestRowOfExp(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, odd := range []float64{0, 699, 701, math.Inf(-1), math.NaN()} {
		var x, got Row
		for i := range x {
			x[i] = 1300 * (random.Float64() - 0.5)
		}
		x[5] = odd
		got.Exp(&x)
		for i := range x {
			assert.Equal(t, math.Float64bits(Exp(x[i])), math.Float64bits(got[i]), "%v", x[i])
		}
	}
}
