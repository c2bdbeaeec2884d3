//go:build coverage

package decide

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// How often an end lies outside the true window, and a recommended setting with it: each
// end in at most 5 % of seeds (two stages of 2.5 %), three standard errors of so many
// repetitions allowed for (a false alarm in 350). All settings share the draws: the
// bisection does not add to it.
func TestCoverageMissionWindow(t *testing.T) {
	const repetitions = 40
	allowed := 0.05 + 3*math.Sqrt(0.05*0.95/repetitions)
	var low, high, recommended float64
	for seed := range uint64(repetitions) {
		w := missionWindow(t, 3000+seed, 2, 6)
		if w.Lower.Met < trueLower {
			low++
		}
		if w.Upper.Met > trueUpper {
			high++
		}
		if w.Available && (w.Recommended-w.Tolerance < trueLower || w.Recommended+w.Tolerance > trueUpper) {
			recommended++
		}
	}
	t.Logf("of %d: lower end outside %v, upper %v, recommended %v", repetitions, low, high, recommended)
	assert.LessOrEqual(t, low/repetitions, allowed)
	assert.LessOrEqual(t, high/repetitions, allowed)
	assert.LessOrEqual(t, recommended/repetitions, 2*allowed)
}
