package dist

import (
	"math/rand/v2"
	"testing"
)

func benchmarkPoints() []float64 {
	random := rand.New(rand.NewPCG(1, 2))
	u := make([]float64, 4096)
	for i := range u {
		u[i] = random.Float64()
	}
	return u
}

func BenchmarkTransform(b *testing.B) {
	u := benchmarkPoints()
	x := make([]float64, len(u))
	for name, d := range exampleShapes(b) {
		b.Run("shape="+name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				Transform(d, x, u)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(u)), "ns/value")
		})
	}
}

func BenchmarkFromNormalScore(b *testing.B) {
	z := benchmarkPoints()
	Transform(Normal{0, 1}, z, z)
	for name, d := range exampleShapes(b) {
		b.Run("shape="+name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				for _, score := range z {
					FromNormalScore(d, score)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(z)), "ns/value")
		})
	}
}

func BenchmarkConstruct(b *testing.B) {
	for name, s := range exampleSpecs() {
		b.Run("shape="+name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := FromSpec(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
