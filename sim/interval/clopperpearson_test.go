package interval

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Each bound moved by 1e-11 either way must bracket the tail in exact
// arithmetic: the bound is right to 1e-11 relative.
func TestClopperPearsonTailsExactly(t *testing.T) {
	const tail, move = (1 - 0.95) / 2, 1e-11
	for _, n := range []int64{10, 1000, 1e6, 1e9} {
		for k := int64(0); k <= 10 && k <= n; k++ {
			low, high := ClopperPearson(float64(k), float64(n), 0.95)
			if k < n {
				assert.Equal(t, 1, exactBinomialLower(k, n, high*(1-move)).Cmp(big.NewFloat(tail)), "high %d of %d", k, n)
				assert.Equal(t, -1, exactBinomialLower(k, n, high*(1+move)).Cmp(big.NewFloat(tail)), "high %d of %d", k, n)
			}
			if k > 0 { // P(X >= k) = tail
				assert.Equal(t, 1, exactBinomialLower(k-1, n, low*(1-move)).Cmp(big.NewFloat(1-tail)), "low %d of %d", k, n)
				assert.Equal(t, -1, exactBinomialLower(k-1, n, low*(1+move)).Cmp(big.NewFloat(1-tail)), "low %d of %d", k, n)
			}
		}
	}
}

func TestClopperPearsonEnds(t *testing.T) {
	low, high := ClopperPearson(0, 20, 0.95)
	assert.Zero(t, low)
	assert.Less(t, high, 1.0)
	low, high = ClopperPearson(20, 20, 0.95)
	assert.Equal(t, 1.0, high)
	assert.Greater(t, low, 0.0)
	assert.InEpsilon(t, UpperBoundZero(1000, 0.95), ProportionWithTail(0, 1000, 0.05), 1e-14)
	assert.Zero(t, ClopperPearsonLower(0, 1000, 0.95))
}

func TestProportionMirrorAndOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := math.Exp(rapid.Float64Range(0, 20).Draw(t, "ln n"))
		k := rapid.Float64Range(1e-3, 1-1e-3).Draw(t, "p") * n
		level := rapid.Float64Range(0.5, 0.999).Draw(t, "level")
		low, high := ClopperPearson(k, n, level)
		mirrorLow, mirrorHigh := ClopperPearson(n-k, n, level)
		assert.True(t, 0 <= low && low <= high && high <= 1, "[%v, %v]", low, high)
		// Absolute 1e-9: n-k itself is rounded to n 1e-16.
		assert.InDelta(t, low, 1-mirrorHigh, 1e-9)
		assert.InDelta(t, high, 1-mirrorLow, 1e-9)
	})
}

func TestInvalidProportionPanics(t *testing.T) {
	nan := math.NaN()
	for _, c := range [][3]float64{
		{-1, 10, .95}, {11, 10, .95}, {nan, 10, .95}, {1, nan, .95}, {0, 0, .95}, {1, 10, 0}, {1, 10, 1}, {1, 10, nan},
	} {
		assert.Panics(t, func() { ClopperPearson(c[0], c[1], c[2]) }, "%v", c)
	}
}

// coverage returns the exact probability that the interval covers p.
func coverage(n int64, p, level float64) float64 {
	sum := 0.0
	for k := int64(0); k <= n; k++ {
		if low, high := ClopperPearson(float64(k), float64(n), level); low <= p && p <= high {
			upTo, _ := BinomialTails(k, n, p)
			below, _ := BinomialTails(k-1, n, p)
			sum += upTo - below
		}
	}
	return sum
}

// Coverage summed over every outcome, which says more than repetition: the
// interval is never below level.
func TestProportionCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("many repetitions, single-threaded")
	}
	for _, c := range []struct {
		n int64
		p float64
	}{{1000, 1e-3}, {2000, 1e-3}, {5000, 1e-3}, {12000, 1e-3}, {300, 0.01}, {50, 0.1}, {25, 0.37}} {
		assert.GreaterOrEqual(t, coverage(c.n, c.p, 0.95), 0.95, "%+v", c)
	}
}

func BenchmarkClopperPearson(b *testing.B) {
	b.Run("k=7/n=1e6", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			ClopperPearson(7, 1e6, 0.95)
		}
	})
}
