package strata

import (
	"fmt"
	"testing"
)

func BenchmarkEstimate(b *testing.B) {
	for _, relative := range []float64{0.2, 0.05} {
		b.Run(fmt.Sprintf("inputs=3/relative=%g", relative), func(b *testing.B) {
			b.ReportAllocs()
			rows := int64(0)
			for b.Loop() {
				rows += curved.estimate(b, options(relative)).Rows
			}
			b.ReportMetric(float64(rows)/b.Elapsed().Seconds(), "rows/s")
		})
	}
}

func BenchmarkKnowledge(b *testing.B) {
	b.Run("unknown=2/rows=40000", func(b *testing.B) {
		b.ReportAllocs()
		rows := int64(0)
		for b.Loop() {
			rows += additive(0.4, 0.4).knowledge(b, 1).Evaluations
		}
		b.ReportMetric(float64(rows)/b.Elapsed().Seconds(), "rows/s")
	})
}
