package contact

import (
	"fmt"
	"testing"
)

func benchmarkFace(b *testing.B, face Face, force float64) {
	benchmarkPair(b, aluminiumBody(), aluminiumBody(), face, force)
}

func benchmarkPair(b *testing.B, first, second Body, face Face, force float64) {
	pair := mustPair(first, second, 0)
	gas := mustGas(Air, 330, 101325)
	var out Evaluation
	b.ReportAllocs()
	for b.Loop() {
		Evaluate(&pair, &gas, &face, force, 1, &out)
	}
}

func BenchmarkFace(b *testing.B) {
	b.Run("contact=full", func(b *testing.B) { benchmarkFace(b, Face{Length: 0.02, Width: 0.006}, 500) })
	b.Run("contact=partial", func(b *testing.B) {
		benchmarkFace(b, Face{Length: 0.02, Width: 0.006, Crown: 5e-6, Taper: 3e-6}, 500)
	})
	b.Run("contact=partial-both-ways", func(b *testing.B) {
		benchmarkFace(b, Face{Length: 0.02, Width: 0.006, Crown: 5e-6, Along: Partial{0.5, 4e-6, 1e-4}}, 500)
	})
	thick, thin := anodised(aluminiumBody(), 10e-6), anodised(aluminiumBody(), 5e-6)
	b.Run("contact=full,coats=alike", func(b *testing.B) { benchmarkPair(b, thick, thick, Face{Length: 0.02, Width: 0.006}, 500) })
	b.Run("contact=full,coats=2", func(b *testing.B) { benchmarkPair(b, thick, thin, Face{Length: 0.02, Width: 0.006}, 500) })
	b.Run("contact=full,coats=1", func(b *testing.B) {
		benchmarkPair(b, thick, aluminiumBody(), Face{Length: 0.02, Width: 0.006}, 500)
	})
	b.Run("contact=unloaded", func(b *testing.B) { benchmarkFace(b, Face{Length: 0.02, Width: 0.006, Crown: 5e-6}, 0) })
}

func BenchmarkPair(b *testing.B) {
	body := aluminiumBody()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewPair(body, body, 0); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCoatedPair(b *testing.B) {
	body := anodised(aluminiumBody(), 10e-6)
	b.ReportAllocs()
	for b.Loop() {
		pairOf(&body, &body, 0)
	}
}

func BenchmarkBow(b *testing.B) {
	flange := Layer{68.9e9, 0.33, 0.003}
	rail := Layer{68.9e9, 0.33, 0.010}
	b.ReportAllocs()
	for b.Loop() {
		bow := Bow{Height: 50e-6, Length: 0.13, Stiffness: BowStiffness(0.13, flange, rail)}
		bow.Close(0.01e6, 167)
	}
}

func BenchmarkGasState(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewGasState(Air, 330, 30000, 0.85); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkCoatTable is what the first coat of a process costs.
func BenchmarkCoatTable(b *testing.B) {
	for b.Loop() {
		newCoatTable()
	}
}

// BenchmarkConduct is the faces of an edge of seven pieces.
func BenchmarkConduct(b *testing.B) {
	for _, coats := range []bool{false, true} {
		b.Run(fmt.Sprintf("coats=%v", coats), func(b *testing.B) {
			first, second := aluminiumBody(), aluminiumBody()
			if coats {
				first, second = anodised(first, 10e-6), anodised(second, 5e-6)
			}
			first.Curves, second.Curves = new(CoatCurves), new(CoatCurves)
			pair := pairOf(&first, &second, 0)
			gas := mustGas(Air, 330, 101325)
			faces := make([]Pressing, 20)
			for i := range faces {
				faces[i] = Pressing{Pair: &pair, Film: pair.CoatResistance, Force: float64(i%7) * 100, Face: Face{Length: 0.02, Width: 0.006, Crown: 2e-6 * float64(i%4)}}
			}
			b.ReportAllocs()
			for b.Loop() {
				conduct(faces, &gas, 1)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(faces)), "ns/face")
		})
	}
}
