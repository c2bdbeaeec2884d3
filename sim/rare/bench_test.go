package rare

import (
	"fmt"
	"testing"
)

// BenchmarkEstimate reports what 10 % at one in a million costs in model
// evaluations: all together, and importance sampling alone.
func BenchmarkEstimate(b *testing.B) {
	for _, dim := range []int{10, 60, 200} {
		b.Run(fmt.Sprintf("state=linear/beta=4.75/dim=%d", dim), func(b *testing.B) {
			b.ReportAllocs()
			var all, draws, seed float64
			for b.Loop() {
				r, err := Estimate(linear(dim, 4.753424309), usual(uint64(seed)))
				if err != nil || r.Evidence != Established {
					b.Fatal(err, r.Probability)
				}
				all += float64(r.Evaluations)
				draws += float64(r.Importance.Evaluations)
				seed++
			}
			b.ReportMetric(all/seed, "evaluations/op")
			b.ReportMetric(draws/seed, "draws/op")
		})
	}
}
