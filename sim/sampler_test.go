package sim

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/sim/batch"
)

var samplers = []Sampler{Random{}, LatinHypercube{}, Halton{}}

var testDimensions = []string{"a", "b", "c", "d", "e", "f", "g"}

// Each coordinate is uniform over blocks: chi-square of 16 cells over the points
// of many blocks, 15 degrees of freedom, below 15 + 6 sqrt(30) with a false
// alarm in 1e5; an even sample has a smaller one.
func TestCoordinatesAreUniform(t *testing.T) {
	const cells, blocks, points = 16, 300, 50
	for _, sampler := range samplers {
		count := make([][cells]float64, len(testDimensions))
		u := batch.Columns(len(testDimensions), points)
		for block := range uint64(blocks) {
			sampler.Fill(u, testDimensions, 11, block)
			for d := range u {
				for _, p := range u[d] {
					require.True(t, p >= 0x1p-53 && p <= 1-0x1p-53)
					count[d][int(p*cells)]++
				}
			}
		}
		for d := range count {
			chi := 0.0
			for _, c := range count[d] {
				expected := float64(blocks*points) / cells
				chi += (c - expected) * (c - expected) / expected
			}
			assert.Less(t, chi, 15+6*math.Sqrt(30), "%s, dimension %d", sampler.Name(), d)
		}
	}
}

// Every single point is uniform, not only the block as a whole: the mean over
// blocks of a block's first point is 1/2 within 5 standard errors (1e-6).
func TestEachPointIsUniform(t *testing.T) {
	const blocks = 3000
	for _, sampler := range samplers {
		u := batch.Columns(len(testDimensions), 10)
		mean := make([]float64, len(u))
		for block := range uint64(blocks) {
			sampler.Fill(u, testDimensions, 5, block)
			for d := range u {
				mean[d] += u[d][0] / blocks
			}
		}
		for d := range mean {
			assert.InDelta(t, 0.5, mean[d], 5*math.Sqrt(1./12/blocks), "%s, dimension %d", sampler.Name(), d)
		}
	}
}

func TestLatinHypercubeMeetsEachIntervalOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 200).Draw(t, "points")
		u := batch.Columns(3, n)
		LatinHypercube{}.Fill(u, testDimensions[:3], rapid.Uint64().Draw(t, "seed"), rapid.Uint64().Draw(t, "block"))
		for d := range u {
			seen := make([]bool, n)
			for _, p := range u[d] {
				require.False(t, seen[int(p*float64(n))])
				seen[int(p*float64(n))] = true
			}
		}
	})
}

// Of the first b^k points of base b each interval of length b^-k holds one,
// whatever the scramble.
func TestHaltonFillsItsIntervals(t *testing.T) {
	for d, n := range []int{2 * 2 * 2 * 2 * 2 * 2, 3 * 3 * 3 * 3, 5 * 5 * 5} {
		u := batch.Columns(3, n)
		Halton{}.Fill(u, testDimensions[:3], 9, 4)
		seen := make([]bool, n)
		for _, p := range u[d] {
			require.False(t, seen[int(p*float64(n))], "base %d", []int{2, 3, 5}[d])
			seen[int(p*float64(n))] = true
		}
	}
	assert.Equal(t, []int{2, 3, 5, 7, 11, 13}, []int{nextPrime(1), nextPrime(2), nextPrime(3), nextPrime(5), nextPrime(7), nextPrime(11)})
}

// For the mean of a smooth function even points scatter far less than random
// ones: from blocks of 256 points at least 20 times less variance (in fact some
// 100 times), where 2 would already be beyond chance for 200 blocks.
func TestEvenPointsScatterLess(t *testing.T) {
	variance := map[string]float64{}
	for _, sampler := range samplers {
		u := batch.Columns(3, 256)
		var sums, squares float64
		for block := range uint64(200) {
			sampler.Fill(u, testDimensions[:3], 2, block)
			mean := 0.0
			for r := range u[0] {
				mean += (u[0][r] + u[1][r]*u[1][r] + math.Sin(u[2][r])) / 256
			}
			sums += mean / 200
			squares += mean * mean / 200
		}
		variance[sampler.Name()] = squares - sums*sums
	}
	for _, even := range []Sampler{LatinHypercube{}, Halton{}} {
		assert.Less(t, variance[even.Name()], variance[Random{}.Name()]/20)
		assert.True(t, even.Dependent())
	}
}
