package assurance

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
)

// bent is a score that rises with the first input up to a point, and a little with the second: most states are far better
// than the poor ones, which are alike.
func bent(place []float64) float64 { return -4.4 + 1.3*min(place[0], 1.2) + 0.15*place[1] }

// straight is normal, of variance 0.25 + 0.09.
func straight(place []float64) float64 { return -3.5 + 0.5*place[0] + 0.3*place[1] }

// stated is what a record says of a score of two inputs, by sums over a fine grid.
func stated(score func(place []float64) float64, shown []float64, known int, left float64) (mean, upper float64) {
	const n = 200
	middle := func(i int) float64 { return dist.NormalQuantile((float64(i) + 0.5) / n) }
	at := func(z float64, j int) float64 {
		if j != known {
			return z
		}
		return math.Sqrt(1-left)*shown[j] + math.Sqrt(left)*z
	}
	var all []float64
	for i := range n {
		for k := range n {
			g := score([]float64{at(middle(i), 0), at(middle(k), 1)})
			mean += dist.NormalCDF(g) / (n * n)
			all = append(all, g)
		}
	}
	slices.Sort(all)
	return mean, dist.NormalCDF(all[len(all)*95/100])
}

// each has the scores of many places.
func each(score func(place []float64) float64) func(scores []float64, places [][]float64) {
	return func(scores []float64, places [][]float64) {
		for i, place := range places {
			scores[i] = score(place)
		}
	}
}

func surfaceOf(t *testing.T, score func([]float64) float64, target float64) (s *Surface) {
	t.Helper()
	mean, upper := stated(score, nil, -1, 1)
	s, err := NewSurface(Open{Score: each(score), Shares: []float64{0.7, 0.3}, Mean: mean, Upper: upper, Target: target, Confidence: 0.95, Seed: 1})
	require.NoError(t, err)
	return s
}

func chance(t *testing.T, s *Surface, left float64, known ...int) Chance {
	t.Helper()
	c, err := s.Chance(context.Background(), known, left)
	require.NoError(t, err)
	return c
}

// Against sums over a grid, 60 even results of each test: both are good to 1 in 60 or so, and the states of the surface move its
// border by a few hundredths of the spread. 0.06 would show a share taken for its root, or the mean for the median.
func TestSurfaceIsThatOfSumsOverAGrid(t *testing.T) {
	for name, c := range map[string]struct {
		score  func([]float64) float64
		target float64
	}{"straight": {straight, 2e-3}, "bent": {bent, 6e-4}} {
		s := surfaceOf(t, c.score, c.target)
		for known := range 2 {
			for _, left := range []float64{0, 0.3} {
				var want Chance
				const results = 60
				for i := range results {
					shown := []float64{0, 0}
					shown[known] = dist.NormalQuantile((float64(i) + 0.5) / results)
					mean, upper := stated(c.score, shown, known, left)
					want.Met += step(mean <= c.target && upper <= c.target) / results
					want.NotMet += step(mean > c.target) / results
				}
				got, text := chance(t, s, left, known), fmt.Sprintf("%s, input %d, left %g", name, known, left)
				assert.InDelta(t, want.Met, got.Met, 0.06, text)
				assert.InDelta(t, want.NotMet, got.NotMet, 0.06, text)
			}
		}
	}
}

// Whatever the shape, what tells nothing decides nothing, and what tells all everything; an input of little weight decides
// little. (A normal distribution through the median and the upper quantile had the second input of bent decide nearly always.)
func TestSurfaceWithLittleLearnedDecidesLittle(t *testing.T) {
	for _, s := range []*Surface{surfaceOf(t, straight, 2e-3), surfaceOf(t, bent, 6e-4)} {
		assert.Zero(t, chance(t, s, 1, 0, 1).Decided(), "nothing learned")
		assert.InDelta(t, 1, chance(t, s, 0, 0, 1).Decided(), 0.02, "all known; the correction to the record may leave one result open")
	}
	s := surfaceOf(t, straight, 2e-3)
	s.Misfit = 0.3
	assert.InDelta(t, 1, chance(t, s, 0, 0, 1).Decided(), 0.02, "what the surface leaves out is known then, too")
	s = surfaceOf(t, bent, 6e-4)
	assert.Less(t, chance(t, s, 0, 1).Decided(), 0.25)
	_, ok, err := s.Left(context.Background(), []int{1}, Wanted)
	require.NoError(t, err)
	assert.False(t, ok)
	left, ok, err := s.Left(context.Background(), []int{0, 1}, Wanted)
	require.NoError(t, err)
	require.True(t, ok)
	assert.GreaterOrEqual(t, chance(t, s, left, 0, 1).Decided(), Wanted)
	assert.Less(t, chance(t, s, min(1, 1.5*left), 0, 1).Decided(), Wanted)
}

func TestSurfaceIsOfAnOpenVerdict(t *testing.T) {
	open := Open{Score: each(straight), Shares: []float64{0.7, 0.3}, Mean: 4e-4, Upper: 2e-3, Target: 1e-3, Confidence: 0.95}
	_, err := NewSurface(open)
	require.NoError(t, err)
	for _, shut := range [][2]float64{{1.1e-3, 2e-3}, {4e-4, 1e-3}, {0, 2e-3}} {
		open.Mean, open.Upper = shut[0], shut[1]
		_, err := NewSurface(open)
		assert.ErrorIs(t, err, ErrNotOpen, shut)
	}
}
