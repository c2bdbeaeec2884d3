package main

import (
	"fmt"
	"io"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports/validation"
	"clampodds/sim/rare"
	"clampodds/sim/tail"
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

// reference is a probability of the frozen study from 20 million cards drawn with
// wider spreads of some inputs and weighted, without any search: see
// TestReferenceOfRareExceedances of the coverage suite.
type reference struct {
	study, limit, at           string
	probability, standardError float64
}

func references() []reference {
	return []reference{
		{frozen, "edge", "", 1.2221e-6, 0.016e-6},
		{frozen, "component.correlator", "", 6.394e-6, 0.070e-6},
		{frozen, "component.converter", "", 1.5048e-4, 0.0075e-4},
		{frozen, "edge", "95 degC", 8.6835e-9, 0.28e-9},
		{"../../testdata/studies/four-face.toml", "spot", "85 degC", 1e-6, 1e-6},
		{"../../testdata/studies/four-face.toml", "spot", "82 degC", 1e-6, 1e-6},
	}
}

// frozen is the study that most references belong to.
const frozen = "../../testdata/frozen/tail.toml"

// state is the limit and its state, evaluated by one goroutine.
func (r reference) state(t *testing.T) (*study.Limit, *tail.State) {
	t.Helper()
	read, err := (&shared{}).load(r.study, io.Discard)
	require.NoError(t, err)
	q := exceedance{limit: r.limit, at: r.at, workers: 1}
	limit, state, err := q.state(read)
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
			if r.Verdict != rare.Established {
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
		name := fmt.Sprintf("P(%s above %s) per card of testdata/frozen/tail.toml", c.limit, limit.Format(limit.Max))
		reason := fmt.Sprintf("3 standard errors of both; %d evaluations each", used/seeds)
		cases = append(cases, validation.Case{
			Name: name + ": mean of 16 seeds", Source: "20 million weighted cards, no search", Standing: validation.Computed,
			Expected: c.probability, Obtained: mean, Absolute: 3 * math.Hypot(own, c.standardError), Reason: reason,
		}, validation.Case{
			Name: name + ": share of the established intervals of 95 % that hold it", Source: "20 million weighted cards, no search", Standing: validation.Computed,
			Expected: 0.95, Obtained: held / established, Absolute: 4 * math.Sqrt(0.95*0.05/established),
			Reason: fmt.Sprintf("4 standard errors of a share; %g of 16 established", established),
		})
		if exceeded := plainExceeded()[c.limit]; c.at == "" {
			cases = append(cases, validation.Case{
				Name: name + ": mean of 16 seeds, against counts", Source: fmt.Sprintf("run --samples 1e8 --seed 1: %d exceeded", exceeded), Standing: validation.Computed,
				Expected: float64(exceeded) / plainRows, Obtained: mean, Absolute: 3 * math.Hypot(own, math.Sqrt(float64(exceeded))/plainRows), Reason: reason,
			})
		}
	}
	validation.Check(t, "Rare exceedance, whole chain", cases)
}
