package contact

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"clampodds/joint/lanes"
)

// bodyBlockOf lays one body of every card into a block.
func bodyBlockOf(cards []Body) *BodyBlock {
	row := func(of func(b *Body) float64) *lanes.Row {
		r := new(lanes.Row)
		for lane := range cards {
			r[lane] = of(&cards[lane])
		}
		return r
	}
	return &BodyBlock{
		Conductivity: row(func(b *Body) float64 { return b.Conductivity }), Modulus: row(func(b *Body) float64 { return b.Modulus }),
		Poisson: row(func(b *Body) float64 { return b.Poisson }), Hardness: row(func(b *Body) float64 { return b.Hardness }),
		Roughness: row(func(b *Body) float64 { return b.Roughness }), Slope: row(func(b *Body) float64 { return b.Slope }),
		Yield: row(func(b *Body) float64 { return b.Yield }), CoatThickness: row(func(b *Body) float64 { return b.Coat.Thickness }),
		CoatConductivity: row(func(b *Body) float64 { return b.Coat.Conductivity }), CoatHardness: row(func(b *Body) float64 { return b.Coat.Hardness }),
	}
}

// joinBodies makes the pairs of every card's bodies.
func (b *Bench) joinBodies(to *PairBlock, first, second []Body) {
	one := bodyBlockOf(first)
	two := one
	b.Prepare(one, len(first))
	if !slices.Equal(first, second) {
		two = bodyBlockOf(second)
		b.Prepare(two, len(first))
	}
	b.Join(to, one, two, len(first))
}

// blockOf lays one face of every card into a block.
func blockOf(cards []Pressing, gases []GasState, bowed bool) (*FaceBlock, *GasBlock) {
	row := func(of func(p *Pressing) float64) *lanes.Row {
		r := new(lanes.Row)
		for lane := range cards {
			r[lane] = of(&cards[lane])
		}
		return r
	}
	f, gas := &FaceBlock{Pair: new(PairBlock)}, new(GasBlock)
	f.Length, f.Width = row(func(p *Pressing) float64 { return p.Face.Length }), row(func(p *Pressing) float64 { return p.Face.Width })
	f.Crown, f.Taper = row(func(p *Pressing) float64 { return p.Face.Crown }), row(func(p *Pressing) float64 { return p.Face.Taper })
	f.Film, f.Force = row(func(p *Pressing) float64 { return p.Film - p.Pair.CoatResistance }), row(func(p *Pressing) float64 { return p.Force })
	if bowed {
		f.Along = new(PartialBlock)
	}
	for lane := range cards {
		p := &cards[lane]
		p.Film = f.Film[lane] + p.Pair.CoatResistance
		f.Pair.Set(lane, p.Pair)
		gas.Set(lane, &gases[lane])
		if bowed {
			f.Along.Set(lane, p.Face.Along)
		} else {
			p.Face.Along = Partial{}
		}
	}
	return f, gas
}

// TestBlockIsConduct: every card of a block has the bits that it has alone, whatever presses on
// its face, infinite forces, none and no number included.
func TestBlockIsConduct(t *testing.T) {
	bench := new(Bench)
	rapid.Check(t, func(t *rapid.T) {
		count := rapid.IntRange(1, 9).Draw(t, "cards")
		bodies := []Body{anyCoatedBody(t), anyCoatedBody(t), anyJoint(t).Body}
		cards, gases, factor := make([]Pressing, count), make([]GasState, count), new(lanes.Row)
		first, second, one := make([]Body, count), make([]Body, count), rapid.IntRange(0, 4).Draw(t, "one body") == 0
		for lane := range cards {
			first[lane], second[lane] = rapid.SampledFrom(bodies).Draw(t, "first"), rapid.SampledFrom(bodies).Draw(t, "second")
			if one {
				second[lane] = first[lane]
			}
			cards[lane], gases[lane], factor[lane] = anyPressing(t, &first[lane], &second[lane]), anyJoint(t).Gas, logarithmic(t, "factor", 0.2, 5)
			odd := []float64{0, -1, 1e-89, 1e-60, 1e-20, 1e30, math.Inf(1), math.Inf(-1), math.NaN()}
			if i := rapid.IntRange(0, 4*len(odd)).Draw(t, "odd"); i < len(odd) {
				cards[lane].Force = odd[i]
			}
			if rapid.IntRange(0, 9).Draw(t, "area") == 0 {
				cards[lane].Face.Length = 0
			}
		}
		f, gas := blockOf(cards, gases, rapid.Bool().Draw(t, "bowed"))
		if rapid.IntRange(0, 9).Draw(t, "loose") == 0 {
			f.Force = nil
		}
		var ranges RangesBlock
		if each := rapid.Bool().Draw(t, "each"); each || !lanes.Fast && lanes.Width > 1 {
			bench.conductEach(f, gas, factor, &ranges, count)
		} else {
			bench.joinBodies(f.Pair, first, second)
			bench.conductVectors(f, gas, factor, &ranges, count)
		}
		for lane := range cards {
			p := cards[lane : lane+1]
			if f.Force == nil {
				p[0].Force = 0
			}
			var want RangesBlock
			conduct(p, &gases[lane], factor[lane])
			want.add(lane, &p[0])
			sameBits(t, lane, "conductance", f.Conductance[lane], p[0].Conductance)
			sameBits(t, lane, "local pressure", f.LocalPressure[lane], p[0].LocalPressure)
			sameBits(t, lane, "below", ranges.PressureBelow[lane], want.PressureBelow[lane])
			sameBits(t, lane, "above", ranges.PressureAbove[lane], want.PressureAbove[lane])
			sameBits(t, lane, "over yield", ranges.OverYield[lane], want.OverYield[lane])
		}
	})
}

// sameBits holds two numbers to the same bits; a NaN is one.
func sameBits(t *rapid.T, lane int, name string, got, want float64) {
	if math.Float64bits(got) != math.Float64bits(want) && !(math.IsNaN(got) && math.IsNaN(want)) {
		t.Fatalf("%s of card %d: %v, alone %v", name, lane, got, want)
	}
}

// BenchmarkBlock is a face of many cards that all differ, in blocks and card by card.
func BenchmarkBlock(b *testing.B) {
	const blocks = 100
	random := rand.New(rand.NewPCG(1, 2))
	pair, gas, bench := mustPair(aluminiumBody(), aluminiumBody(), 0), mustGas(Air, 330, 101325), new(Bench)
	var cards []Pressing
	bodies := slices.Repeat([]Body{aluminiumBody()}, lanes.Count)
	gases, factor := make([]GasState, lanes.Count), new(lanes.Row)
	factor.Fill(1)
	faces, gasBlock := make([]*FaceBlock, blocks), new(GasBlock)
	for i := range faces {
		some := make([]Pressing, lanes.Count)
		for lane := range some {
			gases[lane] = gas
			some[lane] = Pressing{Pair: &pair, Force: 1000 * random.Float64(), Face: Face{Length: 0.02, Width: 0.006, Crown: 10e-6 * random.Float64()}}
		}
		faces[i], gasBlock = blockOf(some, gases, false)
		bench.joinBodies(faces[i].Pair, bodies, bodies)
		cards = append(cards, some...)
	}
	report := func(b *testing.B) {
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/blocks/lanes.Count, "ns/face")
	}
	b.Run("blocks", func(b *testing.B) {
		var ranges RangesBlock
		for b.Loop() {
			for _, f := range faces {
				bench.Conduct(f, gasBlock, factor, &ranges, lanes.Count)
			}
		}
		report(b)
	})
	b.Run("cards", func(b *testing.B) {
		for b.Loop() {
			for start := 0; start < len(cards); start += 20 { // as many as an edge has faces
				conduct(cards[start:start+20], &gas, 1)
			}
		}
		report(b)
	})
}
