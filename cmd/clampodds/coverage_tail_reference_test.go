//go:build coverage

package main

import (
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
// search has a part in it, and every region keeps its chance to be drawn. It holds
// 100 000 cards against what 20 million gave; CLAMPODDS_REFERENCE_ROWS=20000000
// repeats those, in four minutes of processor time.
func TestReferenceOfRareExceedances(t *testing.T) {
	rows, _ := strconv.Atoi(os.Getenv("CLAMPODDS_REFERENCE_ROWS"))
	if rows == 0 {
		rows = 100_000
	}
	s := rareStudy(t)
	for _, r := range references() {
		q := exceedance{limit: r.limit, at: r.at}
		_, state, err := q.state(s)
		require.NoError(t, err)
		state.Workers = 1
		mean, standardError := weightedCount(state, rows)
		t.Logf("%s %s: %.4g ± %.2g", r.limit, r.at, mean, standardError)
		// Four standard errors of both: a false alarm in 16 000.
		assert.InDelta(t, r.probability, mean, 4*math.Hypot(standardError, r.standardError), r.limit+r.at)
	}
}

// weightedCount is the share of rows that exceed, with its standard error.
func weightedCount(state *tail.State, rows int) (mean, standardError float64) {
	const block = 2000
	p := state.Problem()
	var spreads []float64
	for _, v := range state.Plan().Variables() {
		spreads = append(spreads, math.Max(referenceSpreads()[v.Input], 1))
	}
	u, g, weights := make([][]float64, block), make([][]float64, p.Events), make([]float64, block)
	for r := range u {
		u[r] = make([]float64, p.Dim)
	}
	for e := range g {
		g[e] = make([]float64, block)
	}
	var sum, squares float64
	for from := 0; from < rows; from += block {
		random := tail.Stream(1, "")("reference", uint64(from))
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
		for r, weight := range weights {
			if slices.ContainsFunc(g, func(column []float64) bool { return column[r] <= 0 }) {
				sum += weight
				squares += weight * weight
			}
		}
	}
	return sum / float64(rows), math.Sqrt(squares) / float64(rows)
}
