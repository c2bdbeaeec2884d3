package main

import (
	"context"
	"fmt"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/question"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/sim"
	"clampodds/testdata/studies"
)

// BenchmarkChain is the whole chain, drawing to histograms, on the demo study
// with another number of pieces. allocs/sample holds what a run allocates at its
// start and for new histogram pages; a sample itself allocates nothing.
func BenchmarkChain(b *testing.B) {
	const samples = 1 << 18
	for _, family := range []string{"two-face", "four-face"} {
		for _, pieces := range []int{5, 7} {
			for _, cards := range []int{1, 6} {
				chain := chainScenario(b, family, pieces, cards)
				for _, workers := range []int{1, 2} {
					name := fmt.Sprintf("family=%s/pieces=%d/cards=%d/workers=%d", family, pieces, cards, workers)
					b.Run(name, func(b *testing.B) {
						r := sim.Run{
							Scenarios: []sim.Scenario{chain}, Sampler: sim.Random{}, Seed: 1,
							Samples: samples, Workers: workers, Confidence: 0.95,
						}
						var before, after runtime.MemStats
						runtime.ReadMemStats(&before)
						b.ReportAllocs()
						for b.Loop() {
							_, err := r.Execute(context.Background())
							require.NoError(b, err)
						}
						runtime.ReadMemStats(&after)
						all := float64(b.N) * samples
						b.ReportMetric(all/b.Elapsed().Seconds(), "samples/s")
						b.ReportMetric(float64(after.Mallocs-before.Mallocs)/all, "allocs/sample")
					})
				}
			}
		}
	}
}

// chainScenario is the demo study of a family with other numbers of pieces and of
// cards in a chassis.
func chainScenario(b *testing.B, family string, pieces, cards int) sim.Scenario {
	b.Helper()
	text := fmt.Sprintf("extends = %q\nclamp.pieces = %d\nrun.cards_per_chassis = %d\n", family+".toml", pieces, cards)
	s, err := study.Parse("chain.toml", []byte(text), studies.Files.ReadFile)
	require.NoError(b, err)
	chain, err := question.Scenario(s, "chain")
	require.NoError(b, err)
	return chain
}
