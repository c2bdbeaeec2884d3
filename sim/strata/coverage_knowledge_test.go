//go:build coverage

package strata

import (
	"context"
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/dist"
)

// Coverage of the three intervals by repetition, alone and from a screen, whose rows
// count and whose first rows show the way: 100 runs each (30 of the finer look), at most 3 standard errors (6.5 %) below
// 95 %, a false alarm once in 200. A uniform input bends the surface.
func TestKnowledgeCoverage(t *testing.T) {
	const alpha, beta = 0.4, 0.4
	truth := additiveTruth(alpha, beta)
	for _, c := range []struct {
		name           string
		rows, screened int64
		repetitions    uint64
	}{{"alone", 40_000, 0, 100}, {"from a screen", 20_000, 30_000, 100}, {"finer", 4 * usualRows, 0, 30}} {
		t.Logf("%s:", c.name)
		covers(t, truth[:], c.repetitions, func(seed uint64) *Unknown { return additive(alpha, beta).knowledgeFrom(t, seed, c.rows, c.screened) })
	}
}

// The bound for a limit that is exceeded far more rarely than its target: it is above the
// quantile, and below the target.
func TestCoverageBoundOfAStricterLimit(t *testing.T) {
	scenario := additive(0.4, 0.4).scenario(t)
	q := atThree
	q.Limit, q.Target = 4.6, 1e-3
	scenario.Requirements[0] = q
	quantile := dist.NormalSurvival(4.6 - 0.4*1.645*math.Sqrt2)
	const repetitions = 20
	above, highest := 0, 0.0
	for seed := range uint64(repetitions) {
		screen := must(screenOf(context.Background(), scenario, 30_000, seed, 0))
		u := must(knowledge(context.Background(), scenario, q, KnowledgeOptions{Rows: 60_000, Screen: screen, Bound: true, Confidence: 0.95, Seed: seed}))
		assert.Zero(t, u.Upper.Low)
		if u.Upper.High >= quantile {
			above++
		}
		highest = max(highest, u.Upper.High)
	}
	t.Logf("above in %d of %d, at most %.3g", above, repetitions, highest)
	assert.Equal(t, repetitions, above)
	assert.Less(t, highest, q.Target, "shown to be met")
}

// covers holds the estimates of so many seeds against the truth.
func covers(t *testing.T, truth []float64, seeds uint64, of func(seed uint64) *Unknown) {
	repetitions := float64(seeds)
	var covered, sum, squares [3]float64
	var mutex sync.Mutex
	var wait sync.WaitGroup
	for half := range uint64(2) {
		wait.Go(func() {
			for seed := half; seed < seeds; seed += 2 {
				u := of(seed)
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
