package fit

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

func BenchmarkFit(b *testing.B) {
	truth := mustDist(b, "weibull", map[string]float64{"shape": 20, "scale": 2.5})
	for _, n := range []int{12, 200, 200_000} {
		values := draw(truth, n, rand.New(rand.NewPCG(1, 2)))
		for _, family := range Families() {
			b.Run(fmt.Sprintf("readings=%d/family=%s", n, family), func(b *testing.B) {
				s := sample(b, Data{Values: values, BetaLimits: Range{Low: 0, High: 5}})
				b.ReportAllocs()
				for b.Loop() {
					if _, err := s.Fit(family, Options{Level: 0.95}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

func BenchmarkPredictive(b *testing.B) {
	for _, family := range Families() {
		f := fitted(b, Data{Values: bearings, BetaLimits: Range{Low: 0, High: 300}}, family)
		d, err := f.Predictive()
		if err != nil {
			b.Fatal(err)
		}
		b.Run("do=build/family="+string(family), func(b *testing.B) {
			for b.Loop() {
				if _, err := f.Predictive(); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run("do=quantile/family="+string(family), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				d.Quantile(0.001)
			}
		})
	}
}

func BenchmarkBootstrap(b *testing.B) {
	for _, family := range []Family{Gamma, Beta, Rayleigh} {
		s := sample(b, Data{Values: bearings, BetaLimits: Range{Low: 0, High: 300}})
		b.Run("replicates=999/family="+string(family), func(b *testing.B) {
			for b.Loop() {
				if _, err := s.Fit(family, Options{Level: 0.95, Replicates: 999}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
