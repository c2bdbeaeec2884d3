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

// TestEstablishedKeepsItsRate repeats estimates of 60 seeds and prints what became
// of them. Of the established ones the mean may be off by a bias of 3 % and four
// standard errors of the mean, 9 % each: 5 % in all for 60. At most 6 % of all
// established intervals of 95 % may miss the exact value, and of 20 000 evaluations
// 90 % must be established, of all states but the hard ones.
func TestEstablishedKeepsItsRate(t *testing.T) {
	const seeds = 60
	for _, evaluations := range []int{5000, 10000, 20000} {
		var all, established, missed int
		for _, s := range append(jumps(), states()...) {
			var r repetition
			for seed := range uint64(seeds) {
				o := usual(seed)
				o.Evaluations = evaluations
				got, err := Estimate(s.problem, o)
				require.NoError(t, err)
				r.add(got, s.exact)
			}
			t.Logf("%-42s %6d allowed %6.0f used: %2d established, %d miss, mean %.3f, scatter %.3f, as stated %.3f",
				s.id, evaluations, r.used/seeds, r.established, r.missed, r.mean(), r.scatter(), r.stated/float64(r.established))
			if n := float64(r.established); n > 5 {
				assert.InDelta(t, 1, r.mean(), 0.03+4*0.09/math.Sqrt(n), s.id)
			}
			if !hard(s.id) {
				all, established, missed = all+seeds, established+r.established, missed+r.missed
			}
		}
		t.Logf("%d evaluations allowed: %d of %d established, %d miss", evaluations, established, all, missed)
		assert.LessOrEqual(t, float64(missed), 0.06*float64(established))
		if evaluations == 20000 {
			assert.GreaterOrEqual(t, float64(established), 0.9*float64(all))
		}
	}
}

// repetition sums up the established estimates of one state, in shares of the exact
// value.
type repetition struct {
	established, missed        int
	sum, squares, stated, used float64
}

func (r *repetition) add(got Result, exact float64) {
	r.used += float64(got.Evaluations)
	if got.Verdict != Established {
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
