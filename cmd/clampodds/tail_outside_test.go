package main

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports/validation"
)

// The plain run that the rare exceedance of the frozen study is held against:
//
//	clampodds run testdata/frozen/tail.toml --samples 1e8 --seed 1
//
// It takes about a quarter of an hour of processor time. The cards are independent,
// so that the count is binomial.
const (
	plainRows     = 100_000_000
	plainExceeded = 132
)

// The seeds are the study's own and two more.
func TestOutsideRareExceedance(t *testing.T) {
	const frozen = "../../testdata/frozen/tail.toml"
	plain := float64(plainExceeded) / plainRows
	plainError := math.Sqrt(plainExceeded) / plainRows
	var cases []validation.Case
	for _, seed := range []string{"20240917", "1", "2"} {
		r, _ := tailOf(t, frozen, "--seed", seed)
		require.True(t, r.Established, r.Reason)
		own := float64(r.Probability.StandardError)
		assert.LessOrEqual(t, r.Evaluations, 20000)
		assert.LessOrEqual(t, own, 0.1*float64(r.Probability.Value))
		cases = append(cases, validation.Case{
			Name:     "P(edge above 90.5 degC) per card of testdata/frozen/tail.toml, tail --seed " + seed,
			Source:   fmt.Sprintf("run --samples 1e8 --seed 1: %d exceeded", plainExceeded),
			Standing: validation.Computed, Expected: plain, Obtained: float64(r.Probability.Value),
			Absolute: 3 * math.Hypot(own, plainError),
			Reason:   fmt.Sprintf("3 standard errors of both; %d evaluations", r.Evaluations),
		})
	}
	validation.Check(t, "Rare exceedance, whole chain", cases)
}
