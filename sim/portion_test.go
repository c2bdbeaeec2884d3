package sim

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Parts, each counted by itself and kept as text, add up to the very result of one run: with
// clusters, infinite values, pairs, events, and stretches of the trace that two parts share.
func TestPortionsAddUpToTheRun(t *testing.T) {
	for _, sampler := range []Sampler{Random{}, LatinHypercube{}, Halton{}} {
		for _, limitsOnly := range []bool{false, true} {
			run := chassisRun(t, sampler, 2)
			run.LimitsOnly = limitsOnly
			want := stripScratch(execute(t, run))
			for _, parts := range []int64{1, 3, 16, 100} {
				t.Run(fmt.Sprint(sampler.Name(), limitsOnly, parts), func(t *testing.T) {
					whole := must(run.Portion(0))
					blocks := whole.Blocks()
					for i := range parts {
						part := must(run.Portion(i * blocks / parts))
						require.NoError(t, part.Count(t.Context(), (i+1)*blocks/parts))
						read, err := run.ReadPortion(part.First(), part.End(), must(part.AppendBinary(nil)))
						require.NoError(t, err)
						require.NoError(t, whole.Add(read))
					}
					assert.Equal(t, want, stripScratch(whole.Result()))
				})
			}
		}
	}
}

// A run that is stopped, kept and gone on with, again and again, gives the same.
func TestABrokenRunGoesOn(t *testing.T) {
	run := chassisRun(t, Random{}, 3)
	want := stripScratch(execute(t, run))
	portion, breaks := must(run.Portion(0)), 0
	for portion.End() < portion.Blocks() {
		ctx, cancel := context.WithCancel(t.Context())
		run.Progress = func(done, _ int64) {
			if done > portion.Rows(0, portion.End())/2 {
				cancel()
			}
		}
		next := must(run.ReadPortion(0, portion.End(), must(portion.AppendBinary(nil))))
		require.NoError(t, next.Count(ctx, next.Blocks()))
		require.Greater(t, next.End(), portion.End(), "what was begun is done")
		cancel()
		portion = next
		breaks++
	}
	assert.Greater(t, breaks, 3)
	assert.Equal(t, want, stripScratch(portion.Result()))
}

func TestPortionsThatDoNotFitAreRefused(t *testing.T) {
	run := chassisRun(t, Random{}, 1)
	first, third := must(run.Portion(0)), must(run.Portion(20))
	require.NoError(t, first.Count(t.Context(), 10))
	assert.ErrorContains(t, first.Add(third), "blocks from 20 on of 40 do not follow blocks up to 10 of 40")
	_, err := run.Portion(41)
	assert.Error(t, err)
	_, err = run.ReadPortion(0, 41, nil)
	assert.Error(t, err)
	assert.Panics(t, func() { third.Result() })

	text := must(first.AppendBinary(nil))
	for name, wrong := range map[string][]byte{"they end too early": text[:len(text)-1], "more than the counts": append(text[:len(text):len(text)], 0)} {
		_, err := run.ReadPortion(0, 10, wrong)
		assert.ErrorContains(t, err, name)
	}
	_, err = run.ReadPortion(0, 11, text)
	assert.ErrorContains(t, err, "values of", "counts of other rows")
	for i := range text { // whatever is wrong is an error or other counts, never a panic
		wrong := append([]byte{}, text...)
		wrong[i] ^= 0xff
		_, _ = run.ReadPortion(0, 10, wrong)
		if i > 3000 {
			break
		}
	}
}
