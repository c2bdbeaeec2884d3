//go:build coverage

package main

import (
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/sim"
	"clampodds/sim/tail"
)

// The spreads that the reference of the frozen study is drawn with, in standard
// deviations of the normal score; all others are drawn with 1.
func referenceSpreads() map[string]float64 {
	return map[string]float64{
		"rail.roughness": 2, "flange.roughness": 2, "contact.factor": 1.8, "wall.temperature": 1.5,
		"component.correlator.power": 1.3, "component.converter.power": 1.3,
	}
}

// TestReferenceOfRareExceedances counts cards of the frozen study that are drawn
// with wider spreads of some inputs and weighted by the ratio of the densities. No
// search has a part in it, and every region keeps its chance to be drawn. It
// prints the limits above the study's own and their probabilities.
func TestReferenceOfRareExceedances(t *testing.T) {
	rows, _ := strconv.Atoi(os.Getenv("CLAMPODDS_REFERENCE_ROWS"))
	if rows == 0 {
		rows = 100_000
	}
	const block = 2000
	s := frozen(t)
	one, err := scenario(s, s.Title)
	require.NoError(t, err)
	var events []sim.Requirement
	steps := []float64{0, 2, 4.5} // kelvin above the limit
	for _, l := range s.Limits {
		if l.Quantity == units.Temperature {
			events = append(events, sim.Requirement{Name: l.Name, Output: l.Output, Limit: l.Max})
		}
	}
	state, err := tail.NewState(one, events...)
	require.NoError(t, err)
	state.Workers = 1
	p, spreads := state.Problem(), make([]float64, 0)
	for _, v := range state.Plan().Variables() {
		spread := referenceSpreads()[v.Input]
		spreads = append(spreads, math.Max(spread, 1))
	}
	sums, squares := make([][]float64, len(events)), make([][]float64, len(events))
	g := make([][]float64, len(events))
	for e := range events {
		sums[e], squares[e], g[e] = make([]float64, len(steps)), make([]float64, len(steps)), make([]float64, block)
	}
	u := make([][]float64, block)
	for r := range u {
		u[r] = make([]float64, p.Dim)
	}
	for from := 0; from < rows; from += block {
		random := tail.Stream(1)("reference", uint64(from))
		weights := make([]float64, block)
		for r := range u {
			logWeight := 0.0
			for i, spread := range spreads {
				z := random.NormFloat64()
				u[r][i] = spread * z
				logWeight += math.Log(spread) - (spread*spread-1)*z*z/2
			}
			weights[r] = math.Exp(logWeight)
		}
		p.Evaluate(u, g)
		for e := range events {
			for r, value := range g[e] {
				for k, step := range steps {
					if value <= -step {
						sums[e][k] += weights[r]
						squares[e][k] += weights[r] * weights[r]
					}
				}
			}
		}
	}
	for e, q := range events {
		for k, step := range steps {
			mean := sums[e][k] / float64(rows)
			t.Logf("%s above %.2f: %.5g, relative standard error %.3f", q.Name, q.Limit+step, mean, math.Sqrt(squares[e][k])/float64(rows)/mean)
		}
	}
}
