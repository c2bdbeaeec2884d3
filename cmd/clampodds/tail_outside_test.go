package main

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports/validation"
)

// The plain run that the rare exceedances of the frozen study are held against:
//
//	clampodds run testdata/frozen/tail.toml --samples 1e8 --seed 1
//
// It takes about a quarter of an hour of processor time. The cards are independent,
// so that the counts are binomial.
const plainRows = 100_000_000

// plainExceeded are its counts.
func plainExceeded() map[string]int {
	return map[string]int{"edge": 132, "component.correlator": 641, "component.converter": 15268}
}

func TestOutsideRareExceedance(t *testing.T) {
	long(t)
	var cases []validation.Case
	// The study's own seed for every limit, two more for the edge.
	for _, c := range []struct{ limit, seed string }{
		{"edge", "20240917"},
		{"edge", "1"},
		{"edge", "2"},
		{"component.correlator", "20240917"},
		{"component.converter", "20240917"},
	} {
		exceeded := plainExceeded()[c.limit]
		r, _ := tailOf(t, "../../testdata/frozen/tail.toml", "--limit", c.limit, "--seed", c.seed)
		require.True(t, r.Established, r.Reason)
		own := float64(r.Probability.StandardError)
		assert.LessOrEqual(t, r.Evaluations, 20000)
		assert.LessOrEqual(t, own, 0.1*float64(r.Probability.Value))
		cases = append(cases, validation.Case{
			Name:     fmt.Sprintf("P(%s above its limit) per card of testdata/frozen/tail.toml, tail --limit %s --seed %s", c.limit, c.limit, c.seed),
			Source:   fmt.Sprintf("run --samples 1e8 --seed 1: %d exceeded", exceeded),
			Standing: validation.Computed, Expected: float64(exceeded) / plainRows, Obtained: float64(r.Probability.Value),
			Absolute: 3 * math.Hypot(own, math.Sqrt(float64(exceeded))/plainRows),
			Reason:   fmt.Sprintf("3 standard errors of both; %d evaluations", r.Evaluations),
		})
	}
	validation.Check(t, "Rare exceedance, whole chain", cases)
}
