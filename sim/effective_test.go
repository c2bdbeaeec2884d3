package sim

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// sumsOf adds up clusters of k counted among m values.
func sumsOf(k, m []int, together int) clusterSums {
	c := clusterSums{clusters: int64(len(k)), together: together}
	for i := range k {
		count, size := uint64(k[i]), uint64(m[i])
		c.count, c.square, c.cross = c.count+count, c.square+count*count, c.cross+count*size
		c.size, c.sizeSquares = c.size+size, c.sizeSquares+size*size
	}
	return c
}

// What is counted and what is not scatter alike, in clusters of unlike size: the sums of
// the rarer are those of counting it, and the effective size does not depend on which of
// the two is asked for.
func TestTheRarerHasTheSumsOfItsOwnCounts(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 0))
	counted, others, sizes := make([]int, 400), make([]int, 400), make([]int, 400)
	for i := range counted {
		sizes[i] = 1 + random.IntN(6)
		for range sizes[i] {
			if random.Float64() < 0.85 {
				counted[i]++
			}
		}
		others[i] = sizes[i] - counted[i]
	}
	frequent, rare := sumsOf(counted, sizes, 6), sumsOf(others, sizes, 6)
	assert.Equal(t, rare, frequent.rarer())
	assert.Equal(t, rare, rare.rarer())
	one, _ := frequent.effective(0.95)
	other, _ := rare.effective(0.95)
	assert.Equal(t, other, one)
	assert.Less(t, one, float64(frequent.size))
}

// Ten groups with an event are enough to see how events go together, nine are not; then
// all cards of a group are taken to go together.
func TestFewGroupsWithEvents(t *testing.T) {
	effective := func(events int) (float64, []Warning) {
		k, m := make([]int, 1000), make([]int, 1000)
		for i := range k {
			m[i] = 6
			if i < events {
				k[i] = 1
			}
		}
		return sumsOf(k, m, 6).effective(0.95)
	}
	nine, warnings := effective(9)
	assert.Equal(t, FewClusters, warnings[0].Code)
	assert.InDelta(t, 1000, nine, 10, "one independent value in each group")
	ten, warnings := effective(10)
	assert.Empty(t, warnings)
	assert.InDelta(t, 6000, ten, 60, "never two in a group: all cards count")
}

// The same of a difference: sixty rows that exceed in one design only are enough in
// groups of six, fifty-nine are not; in replicates five for each of them.
func TestFewDiscordantRows(t *testing.T) {
	l := layout{rowsPerGroup: 6, blockRows: 60, rows: 60_000, blocks: 1000, confidence: 0.95}
	effective := func(rows uint64, l layout) float64 {
		return pairTally{onlyOther: rows, differenceSquares: rows}.effective(l)
	}
	assert.InDelta(t, 10_000, effective(59, l), 100, "one in each group")
	assert.InDelta(t, 60_000, effective(60, l), 600)
	l.replicates = true
	assert.InDelta(t, 10_000, effective(4999, l), 100)
	assert.Greater(t, effective(5000, l), 50_000.0)
}
