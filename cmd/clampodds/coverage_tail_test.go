//go:build coverage

package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim/rare"
	"clampodds/sim/tail"
)

func frozen(t *testing.T) *study.Study {
	t.Helper()
	s := shared{}
	read, err := s.load("../../testdata/frozen/tail.toml", io.Discard)
	require.NoError(t, err)
	return read
}

func TestExploreFrozen(t *testing.T) {
	seeds, _ := strconv.Atoi(os.Getenv("SEEDS"))
	s := frozen(t)
	for _, c := range []struct {
		limit, at string
		exact     float64
	}{{"edge", "", 1.2221e-6}, {"component.correlator", "", 6.394e-6}, {"component.converter", "", 1.5048e-4}, {"edge", "95degC", 8.6835e-9}} {
		q := exceedance{limit: c.limit, at: c.at}
		_, state, err := q.state(s)
		require.NoError(t, err)
		state.Workers = 1
		for _, n := range []int{5000, 10000, 20000} {
			established, missed := 0, 0
			sum, squares, all, used, errs := 0.0, 0.0, 0.0, 0.0, 0.0
			reasons := map[string]int{}
			for seed := range seeds {
				got, err := rare.Estimate(state.Problem(), rare.Options{Stream: tail.Stream(uint64(seed), c.limit), Evaluations: n, RelativeError: 0.1, Level: 0.95})
				require.NoError(t, err)
				ratio := got.Probability.Value / c.exact
				if os.Getenv("VERBOSE") != "" {
					fmt.Printf("%s %d %d: %.3f (%.3f) %s %s pts %d centres %d used %d before %.2f again %.2f\n", c.limit, n, seed, ratio, got.Probability.RelativeError(), got.Verdict, got.Reason, len(got.DesignPoints), len(got.Centres), got.Evaluations, got.Check.Known, got.Check.Again)
				}
				all += ratio
				used += float64(got.Evaluations)
				if got.Verdict != rare.Established {
					reasons[got.Reason]++
					continue
				}
				established++
				errs += got.Probability.RelativeError()
				sum += ratio
				squares += ratio * ratio
				if c.exact < got.Probability.Low || c.exact > got.Probability.High {
					missed++
				}
			}
			e := float64(established)
			t.Logf("%s%s %d: established %d missed %d mean %.3f sd %.3f se %.3f all %.3f used %.0f %v", c.limit, c.at, n, established, missed, sum/e, math.Sqrt(squares/e-sum*sum/e/e), errs/e, all/float64(seeds), used/float64(seeds), reasons)
		}
	}
}
