//go:build coverage

package drivers

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestFactorsKeepTheirRate repeats the factors of the linear model: of their
// intervals of 95 % at most 5 % may miss the exact factor, and three standard errors
// of that share as the seeds scatter (those of one seed share draws): a false alarm
// in 700. "Indistinguishable" of a factor that is not 1 is not an error; that it says
// so of idle, which is always 1, is checked by the ordinary test.
func TestFactorsKeepTheirRate(t *testing.T) {
	const seeds = 60
	mean, sd := moments(deviations, make([]float64, 6))
	for _, beta := range betas {
		sum, squares := 0.0, 0.0
		for seed := range uint64(seeds) {
			a, e := exceedanceOf(t, 100+seed, 1000, mean+beta*sd)
			missed, of := 0.0, 0.0
			for k, in := range a.Inputs() {
				if in.Name == "idle" {
					continue
				}
				for c, change := range Changes() {
					of++
					if f, want := e.Factors[k][c], factorAfter(change, in.Columns, beta); want < f.Low || want > f.High {
						missed++
					}
				}
			}
			sum, squares = sum+missed/of, squares+(missed/of)*(missed/of)
		}
		share := sum / seeds
		standardError := math.Sqrt((squares/seeds - share*share) / (seeds - 1))
		t.Logf("beta %g: %.3f ± %.3f of the factors miss", beta, share, standardError)
		assert.LessOrEqual(t, share, 0.05+3*standardError)
	}
}
