package interval

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// The ranks are the extreme ones that still hold the level.
func TestRanksAreTight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 1e11).Draw(t, "n")
		p := rapid.Float64Range(1e-4, 1-1e-4).Draw(t, "p")
		level := rapid.Float64Range(0.5, 0.999).Draw(t, "level")
		tail := (1 - level) / 2
		r := OrderStatisticRanks(n, p, level)
		missBelow := func(l int64) float64 { lower, _ := BinomialTails(l-1, n, p); return lower }
		missAbove := func(u int64) float64 { _, upper := BinomialTails(u-1, n, p); return upper }
		assert.LessOrEqual(t, missBelow(r.Lower), tail)
		assert.LessOrEqual(t, missAbove(r.Upper), tail)
		assert.True(t, r.Lower >= 0 && r.Upper <= n+1)
		assert.Greater(t, missBelow(r.Lower+1), tail)
		assert.Greater(t, missAbove(r.Upper-1), tail)
		assert.GreaterOrEqual(t, r.Coverage, level-1e-12)
		assert.Equal(t, r.Lower >= 1, r.LowerAvailable)
		assert.Equal(t, r.Upper <= n, r.UpperAvailable)
	})
}

func TestRanksNotAvailable(t *testing.T) {
	r := OrderStatisticRanks(10, 0.99, 0.95)
	assert.False(t, r.UpperAvailable)
	assert.Equal(t, int64(11), r.Upper)
	assert.True(t, r.LowerAvailable)
	assert.Panics(t, func() { OrderStatisticRanks(0, 0.5, 0.95) })
	assert.Panics(t, func() { OrderStatisticRanks(10, 1, 0.95) })
}

// Repetition: the quantile is covered as often as the result says. 4 standard
// errors of 4000 runs; false alarm 6e-5 each.
func TestRanksCoverageByRepetition(t *testing.T) {
	const n, p, runs = 200, 0.95, 4000
	r := OrderStatisticRanks(n, p, 0.95)
	random := rand.New(rand.NewPCG(1, 0))
	x := make([]float64, n)
	hits := 0
	for range runs {
		for i := range x {
			x[i] = random.Float64()
		}
		slices.Sort(x)
		if x[r.Lower-1] <= p && p <= x[r.Upper-1] {
			hits++
		}
	}
	assert.InDelta(t, r.Coverage, float64(hits)/runs, 4*proportionError(r.Coverage, runs))
}
