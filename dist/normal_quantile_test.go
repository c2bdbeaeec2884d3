package dist

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mathext"
)

// The published algorithm states 1e-16; what is compared takes a dozen roundings.
func TestQuantileTable(t *testing.T) {
	check := func(p float64) {
		if p != 0.5 {
			require.InEpsilon(t, mathext.NormalQuantile(p), NormalQuantile(p), 1.5e-15, "p = %v", p)
		}
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 100_000 {
		check(random.Float64())
		check(math.Exp(-12 * random.Float64()))
		check(0.5 + math.Exp(-12-20*random.Float64())*float64(1-2*random.IntN(2)))
	}
	for leading := uint64(firstCell) - 1; leading < firstCell+quantileCells; leading++ {
		for _, p := range []float64{math.Float64frombits(leading << quantileShift), cellMiddle(leading)} {
			check(p)
			check(math.Nextafter(p, 0))
			check(1 - p)
		}
	}
	require.Zero(t, NormalQuantile(0.5))
}
