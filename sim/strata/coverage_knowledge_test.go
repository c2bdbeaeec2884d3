//go:build coverage

package strata

import (
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Coverage of the three intervals by repetition: 100 runs, at most 3 standard
// errors (6.5 %) below 95 %, a false alarm once in 700. A uniform input bends
// the surface.
func TestKnowledgeCoverage(t *testing.T) {
	const repetitions = 100
	if testing.Short() {
		t.Skip("hundreds of runs")
	}
	const alpha, beta = 0.4, 0.4
	truth := additiveTruth(alpha, beta)
	var covered, sum, squares [3]float64
	var mutex sync.Mutex
	var wait sync.WaitGroup
	for half := range uint64(2) {
		wait.Go(func() {
			for seed := half; seed < repetitions; seed += 2 {
				u := additive(alpha, beta).knowledge(t, seed)
				mutex.Lock()
				for i, e := range u.estimates() {
					if e.Low <= truth[i] && truth[i] <= e.High {
						covered[i] += 1.0 / repetitions
					}
					d := math.Log(e.Value / truth[i])
					sum[i], squares[i] = sum[i]+d/repetitions, squares[i]+d*d/repetitions
				}
				mutex.Unlock()
			}
		})
	}
	wait.Wait()
	for i, name := range []string{"mixed", "median", "upper"} {
		assert.GreaterOrEqual(t, covered[i], 0.95-3*math.Sqrt(0.95*0.05/repetitions), name)
		t.Logf("%s: coverage %.3f, bias %.1f %%, scatter %.1f %%", name, covered[i], 100*sum[i], 100*math.Sqrt(squares[i]))
	}
}
