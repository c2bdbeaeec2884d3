package main

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports/validation"
	"clampodds/sim/rare"
	"clampodds/sim/tail"
)

// The plain run that the references are held against:
//
//	clampodds run testdata/frozen/tail.toml --samples 2e6 --seed 1
//
// It takes 20 seconds of processor time. The cards are independent, so that the count
// is binomial. Of the other limits too few exceed to say anything.
const (
	plainLimit    = "component.converter"
	plainRows     = 2_000_000
	plainExceeded = 156
)

// reference is a probability of a study from a million weighted cards drawn without
// any search: see TestReferencesOfRareExceedances of the coverage suite, which also
// says how they are made anew when the physics moves.
type reference struct {
	study, limit, at           string
	probability, standardError float64
}

// references are those of the frozen study, which the method was tuned on.
func references() []reference {
	return []reference{
		{frozenTail, "edge", "", 5.9603e-7, 0.074e-7},
		{frozenTail, "component.correlator", "", 3.1271e-6, 0.030e-6},
		{frozenTail, plainLimit, "", 7.4944e-5, 0.054e-5},
		{frozenTail, "edge", "95 degC", 4.3836e-9, 0.15e-9},
	}
}

const frozenTail = "../../testdata/frozen/tail.toml"

// state is the limit and its state, evaluated by one goroutine.
func (r reference) state(t *testing.T) (*study.Limit, *tail.State) {
	t.Helper()
	read, err := study.Load(r.study)
	require.NoError(t, err)
	limit, state, err := question.Exceedance{Limit: r.limit, At: r.at, Sampling: question.Sampling{Workers: 1}}.State(read)
	require.NoError(t, err)
	return limit, state
}

// The mean of many seeds, as the command makes its estimates: 16 of 9 % each know it
// to 2.3 %, so that a bias of 10 % is four standard errors.
func TestOutsideRareExceedance(t *testing.T) {
	long(t)
	const seeds = 16
	var cases []validation.Case
	for _, c := range references() {
		limit, state := c.state(t)
		sum, squares, held, established, used := 0.0, 0.0, 0.0, 0.0, 0
		for seed := range uint64(seeds) {
			r, err := rare.Estimate(state.Problem(), rare.Options{Stream: tail.Stream(seed, limit.Name), Evaluations: 20000, RelativeError: 0.1, Level: 0.95})
			require.NoError(t, err)
			used += r.Evaluations
			if r.Evidence != rare.Established {
				continue
			}
			established++
			sum, squares = sum+r.Probability.Value, squares+r.Probability.Value*r.Probability.Value
			if r.Probability.Low <= c.probability && c.probability <= r.Probability.High {
				held++
			}
		}
		assert.GreaterOrEqual(t, established, 0.75*seeds)
		mean := sum / established
		own := math.Sqrt((squares/established - mean*mean) / (established - 1))
		name := fmt.Sprintf("P(%s above %s) per card of %s", c.limit, limit.Format(limit.Max), strings.TrimPrefix(c.study, "../../"))
		reason := fmt.Sprintf("3 standard errors of both; %d evaluations each", used/seeds)
		cases = append(cases, validation.Case{
			Name: name + ": mean of 16 seeds", Source: "a million weighted cards, no search", Standing: validation.Computed,
			Expected: c.probability, Obtained: mean, Absolute: 3 * math.Hypot(own, c.standardError), Reason: reason,
		}, validation.Case{
			Name: name + ": share of the established intervals of 95 % that hold it", Source: "a million weighted cards, no search", Standing: validation.Computed,
			Expected: 0.95, Obtained: held / established, Absolute: 4 * math.Sqrt(0.95*0.05/established),
			Reason: fmt.Sprintf("4 standard errors of a share; %g of 16 established", established),
		})
		if c.limit == plainLimit {
			cases = append(cases, validation.Case{
				Name: name + ": mean of 16 seeds, against a count", Source: fmt.Sprintf("run --samples 2e6 --seed 1: %d exceeded", plainExceeded), Standing: validation.Computed,
				Expected: float64(plainExceeded) / plainRows, Obtained: mean, Absolute: 3 * math.Hypot(own, math.Sqrt(plainExceeded)/plainRows), Reason: reason,
			})
		}
	}
	validation.Check(t, "Rare exceedance, whole chain", cases)
}
