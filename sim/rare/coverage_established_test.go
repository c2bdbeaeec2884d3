//go:build coverage

package rare

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// jumps are limit states with jumps, and rarer ones, with closed forms.
func jumps() []state {
	const edge, slope, beyond = 3.9, 4.8, 3
	return []state{
		{"cliff in 20 variables", tail(slope) + tail(edge)*(tail(slope-beyond)-tail(slope)), "closed form", cliff(edge, slope, beyond)},
		{"step in 40 variables", tail(4.753424309), "Phi(-4.753)", problem(40, func(u []float64) float64 {
			if u[39] > 4.753424309 {
				return math.Inf(-1)
			}
			return math.Inf(1)
		})},
		{"corner of two steps in 12 variables", tail(3) * tail(3), "Phi(-3)^2", problem(12, func(u []float64) float64 {
			if u[3] > 3 && u[7] < -3 {
				return -1
			}
			return 1
		})},
		{"plane in 10 variables, 5e-9", tail(5.7307), "Phi(-5.7307)", linear(10, 5.7307)},
		{"two planes in 60 variables, 5e-9", tail(5.8) + tail(5.9) - tail(5.8)*tail(5.9), "closed form", problem(60,
			func(u []float64) float64 { return 5.8 - (u[0]+u[1]+u[2]+u[3])/2 },
			func(u []float64) float64 { return 5.9 - (u[10]-u[11])/math.Sqrt2 })},
		{"plane in 100 variables, 1e-6", tail(4.753424309), "Phi(-4.753)", linear(100, 4.753424309)},
	}
}

// TestEstablishedKeepsItsRate repeats estimates and prints what became of them. The
// seeds are none of those that the method was made with. Of the established ones the
// mean may be off by a bias of 3 % and four standard errors of the mean, 9 % each: 5 %
// in all for 60. Of all established intervals of 95 % at most 6 % may miss the exact
// value: at 5 %, with a standard error of 0.54 % for 1600, a false alarm in 30 new
// sets of seeds; these are fixed. Of 20 000 evaluations 90 % must be established, of
// all states but the hard ones.
//
// The hard ones count by themselves. At 5 % a false alarm of more than 6 misses
// among 36 established is one in 500; of the others established at all is an error.
func TestEstablishedKeepsItsRate(t *testing.T) {
	for _, evaluations := range []int{5000, 10000, 20000} {
		var all, established, missed int
		for _, s := range append(jumps(), states()...) {
			r := repeat(t, s, evaluations)
			t.Logf("%-42s %6d allowed %6.0f used: %2d established, %d miss, mean %.3f, scatter %.3f, as stated %.3f",
				s.id, evaluations, r.used/seeds, r.established, r.missed, r.mean(), r.scatter(), r.stated/float64(r.established))
			if n := float64(r.established); n > 5 {
				assert.InDelta(t, 1, r.mean(), 0.03+4*0.09/math.Sqrt(n), s.id)
			}
			switch {
			case !hard(s.id):
				all, established, missed = all+seeds, established+r.established, missed+r.missed
			case s.id == sometimes:
				assert.LessOrEqual(t, r.missed, 6, s.id)
			default:
				assert.Zero(t, r.established, s.id)
			}
		}
		share := float64(missed) / float64(established)
		standardError := math.Sqrt(share * (1 - share) / float64(established))
		t.Logf("%d evaluations allowed: %d of %d established, %d miss: %.4f ± %.4f", evaluations, established, all, missed, share, standardError)
		assert.LessOrEqual(t, share, 0.06)
		if evaluations == 20000 {
			assert.GreaterOrEqual(t, float64(established), 0.9*float64(all))
		}
	}
}

// firstSeed begins the seeds: the method was tuned on 0 to 59.
const firstSeed, seeds = 1000, 60

// sometimes is the hard state that is established with enough evaluations.
const sometimes = "B13: 40 lognormals"

func repeat(t *testing.T, s state, evaluations int) (r repetition) {
	t.Helper()
	for seed := range uint64(seeds) {
		o := usual(firstSeed + seed)
		o.Evaluations = evaluations
		got, err := Estimate(s.problem, o)
		require.NoError(t, err)
		r.add(got, s.exact)
	}
	return r
}

// repetition sums up the established estimates of one state, in shares of the exact
// value.
type repetition struct {
	established, missed        int
	sum, squares, stated, used float64
}

func (r *repetition) add(got Result, exact float64) {
	r.used += float64(got.Evaluations)
	if got.Evidence != Established {
		return
	}
	ratio := got.Probability.Value / exact
	r.established++
	r.stated += got.Probability.RelativeError()
	r.sum += ratio
	r.squares += ratio * ratio
	if exact < got.Probability.Low || exact > got.Probability.High {
		r.missed++
	}
}

func (r repetition) mean() float64 { return r.sum / float64(r.established) }

func (r repetition) scatter() float64 {
	return math.Sqrt(r.squares/float64(r.established) - r.mean()*r.mean())
}
