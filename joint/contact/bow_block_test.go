package contact

import (
	"testing"

	"pgregory.net/rapid"

	"clampodds/joint/lanes"
)

// TestBlockOfBows: layers and waves of a block have the bits that they have alone, flat ones, ones that are
// not touched and layers thicker than the wave included.
func TestBlockOfBows(t *testing.T) {
	bench := new(Bench)
	rapid.Check(t, func(t *rapid.T) {
		count := rapid.IntRange(1, 9).Draw(t, "cards")
		thickest := rapid.SampledFrom([]float64{0.07, 0.15, 3}).Draw(t, "thickest over the length") // x = 2 pi of it
		layers := LayerBlock{new(lanes.Row), new(lanes.Row), new(lanes.Row)}
		var w WaveBlock
		var compliance lanes.Row
		var closed PartialBlock
		for lane := range count {
			w.Length[lane] = logarithmic(t, "length", 1e-3, 0.5)
			layers.Modulus[lane], layers.Poisson[lane] = logarithmic(t, "modulus", 1e9, 4e11), rapid.Float64Range(0, 0.5).Draw(t, "poisson")
			layers.Thickness[lane] = w.Length[lane] * logarithmic(t, "thickness", 1e-3, thickest)
		}
		if lanes.Fast || lanes.Width == 1 {
			if !layers.bend(&w.Length, &compliance, count) {
				layers.Compliance(&w.Length, &compliance, count)
			}
		} else {
			layers.Compliance(&w.Length, &compliance, count)
		}
		for lane := range count {
			layer := layers.At(lane)
			sameBits(t, lane, "compliance", compliance[lane], layer.Compliance(w.Length[lane]))
			w.Height[lane] = rapid.SampledFrom([]float64{0, 1e-9, 1e-6, 3e-5}).Draw(t, "height")
			w.Stiffness[lane], w.Conductivity[lane] = 1/compliance[lane], logarithmic(t, "conductivity", 1, 400)
			w.Pressure[lane] = w.Stiffness[lane] * 1e-6 * rapid.SampledFrom([]float64{0, 1e-120, 1e-9, 0.1, 0.3, 0.5, 0.9, 1, 7}).Draw(t, "pressure")
		}
		if lanes.Fast || lanes.Width == 1 {
			bench.closeWaves(&w, &closed, count)
		} else {
			bench.Close(&w, &closed, count)
		}
		for lane := range count {
			bow := Bow{w.Height[lane], w.Length[lane], w.Stiffness[lane]}
			want := bow.Close(w.Pressure[lane], w.Conductivity[lane])
			sameBits(t, lane, "fraction", closed.Fraction[lane], want.Fraction)
			sameBits(t, lane, "gap", closed.Gap[lane], want.Gap)
			sameBits(t, lane, "constriction", closed.Constriction[lane], want.Constriction)
		}
	})
}
