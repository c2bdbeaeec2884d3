package force

import (
	"fmt"
	"testing"
)

func BenchmarkAxialForce(b *testing.B) {
	thread := named(b, "M3")
	b.ReportAllocs()
	sum := 0.0
	for b.Loop() {
		sum += AxialForce(0.8, 0.05, 0.15, 0.15, 4.235e-3, thread)
	}
	sink = sum
}

func BenchmarkTrain(b *testing.B) {
	for _, pieces := range []int{3, 5, 9} {
		for _, anchor := range []Anchor{End, Centre} {
			b.Run(fmt.Sprintf("pieces=%d/anchor=%s", pieces, anchor), func(b *testing.B) {
				train, in, out := newTrain(b, pieces, anchor), plain(45, 0.15), new(TrainForces)
				b.ReportAllocs()
				for b.Loop() {
					train.Solve(in, out)
				}
			})
		}
	}
}

func BenchmarkScrewUtilisation(b *testing.B) {
	thread := named(b, "M3")
	b.ReportAllocs()
	sum := 0.0
	for b.Loop() {
		sum += ScrewUtilisation(1272, 0.396, 450e6, thread)
	}
	sink = sum
}

// sink keeps results alive.
var sink float64
