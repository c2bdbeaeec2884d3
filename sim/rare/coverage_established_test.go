//go:build coverage

package rare

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
)

// hidden adds limit states with a jump, whose probabilities have closed forms, and
// one of 5e-9.
func hidden() []state {
	const edge, slope, beyond = 3.9, 4.8, 3
	return []state{
		{"cliff in 20 variables", tail(slope) + tail(edge)*(tail(slope-beyond)-tail(slope)), "closed form", problem(20, func(u []float64) float64 {
			g := slope - u[1]
			if u[0] < -edge {
				g -= beyond
			}
			return g
		})},
		{"step in 40 variables, 1e-6", 1e-6, "Phi(-4.7534)", problem(40, func(u []float64) float64 {
			if u[39] > 4.753424309 {
				return math.Inf(-1)
			}
			return math.Inf(1)
		})},
		{"corner of two steps, 2e-6", tail(3) * tail(3), "Phi(-3)^2", problem(12, func(u []float64) float64 {
			if u[3] > 3 && u[7] < -3 {
				return -1
			}
			return 1
		})},
		{"plane in 10 variables, 5e-9", tail(5.7307), "Phi(-5.7307)", linear(10, 5.7307)},
		{"two planes in 60 variables, 5e-9", tail(5.8) + tail(5.9) - tail(5.8)*tail(5.9), "closed form", problem(60, func(u []float64) float64 {
			return 5.8 - (u[0]+u[1]+u[2]+u[3])/2
		}, func(u []float64) float64 { return 5.9 - (u[10]-u[11])/math.Sqrt2 })},
		{"plane in 100 variables, 1e-6", tail(4.753424309), "Phi(-4.7534)", linear(100, 4.753424309)},
	}
}

func TestExploreStates(t *testing.T) {
	for _, s := range append(hidden(), states()...) {
		if f := os.Getenv("STATE"); f != "" && !strings.Contains(s.id, f) {
			continue
		}
		for _, n := range []int{5000, 10000, 20000} {
			var r row
			for seed := range uint64(60) {
				got, err := Estimate(s.problem, Options{Stream: stream(seed), Evaluations: n, RelativeError: 0.1, Level: 0.95})
				if err != nil {
					t.Fatal(err)
				}
				r.add(got, s.exact)
				if os.Getenv("VERBOSE") != "" {
					fmt.Printf("%d %d: %.3f %s %s pts %d centres %d used %d before %.2f again %.2f\n", n, seed, got.Probability.Value/s.exact, got.Verdict, got.Reason, len(got.DesignPoints), len(got.Centres), got.Evaluations, got.Check.Known, got.Check.Again)
				}
			}
			t.Logf("%-40s %6d %s", s.id, n, r)
		}
	}
}

// row sums up repetitions.
type row struct {
	runs, established, missed       int
	sum, squares, all, used, errors float64
	reasons                         map[string]int
}

func (r *row) add(got Result, exact float64) {
	r.runs++
	ratio := got.Probability.Value / exact
	r.all += ratio
	r.used += float64(got.Evaluations)
	if got.Verdict != Established {
		if r.reasons == nil {
			r.reasons = map[string]int{}
		}
		r.reasons[got.Reason]++
		return
	}
	r.established++
	r.errors += got.Probability.RelativeError()
	r.sum += ratio
	r.squares += ratio * ratio
	if exact < got.Probability.Low || exact > got.Probability.High {
		r.missed++
	}
}

func (r row) String() string {
	n := float64(r.established)
	mean := r.sum / n
	return fmt.Sprintf("established %2d missed %2d mean %.3f sd %.3f se %.3f all %.3f used %.0f %v", r.established, r.missed, mean, math.Sqrt(r.squares/n-mean*mean), r.errors/n, r.all/float64(r.runs), r.used/float64(r.runs), r.reasons)
}
