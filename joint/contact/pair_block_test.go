package contact

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"clampodds/joint/lanes"
)

// TestJoinOfABlock: pairs of a block have the bits of each made alone, with coats from thin to thick beside the
// spots' depth, softer and harder than the body.
func TestJoinOfABlock(t *testing.T) {
	if lanes.Width > 1 && !lanes.Fast {
		t.Skip("the processor has no vectors")
	}
	bench := new(Bench)
	anyBody := func(t *rapid.T) Body {
		body := anyJoint(t).Body
		if rapid.Bool().Draw(t, "slope of the roughness") {
			body.Slope = 0
		}
		if rapid.IntRange(0, 3).Draw(t, "coated") > 0 {
			depth := indentation * body.Roughness
			body.Coat = Coat{logarithmic(t, "depths", 0.05, 20) * depth, body.Conductivity * logarithmic(t, "K", 1e-5, 1000), body.Hardness * logarithmic(t, "softer", 0.1, 10)}
		}
		return body
	}
	rapid.Check(t, func(t *rapid.T) {
		count := rapid.IntRange(1, 9).Draw(t, "cards")
		first, second := make([]Body, count), make([]Body, count)
		for lane := range count {
			first[lane], second[lane] = anyBody(t), anyBody(t)
		}
		b := new(PairBlock)
		bench.joinBodies(b, first, second)
		for lane := range count {
			p := b.card(lane)
			for name, of := range map[string][2]float64{
				"conductivity": {p.Conductivity, b.Conductivity[lane]}, "spots": {p.spotScale, b.spotScale[lane]}, "gap": {p.gapScale, b.gapScale[lane]},
				"softness": {p.softness, b.softness[lane]}, "openness": {p.openness, b.openness[lane]}, "spread": {p.spread, b.spread[lane]},
				"yield": {p.yieldBearing, b.yieldBearing[lane]}, "coats": {p.CoatResistance, b.film[lane]},
			} {
				sameBits(t, lane, name, of[1], of[0])
			}
			for i := range p.sides {
				one, all := &p.sides[i], &b.sides[i]
				if one.thickness == 0 {
					continue
				}
				for name, of := range map[string][2]float64{
					"ratio": {one.ratio, all.ratio[lane]}, "weight": {one.weight, all.weight[lane]}, "tau": {one.tau, all.tau[lane]},
					"place": {one.place, all.place[lane]}, "near": {one.near, all.near[lane]}, "far": {one.far, all.far[lane]},
				} {
					sameBits(t, lane, name, of[1], of[0])
				}
			}
			if coated := math.Max(p.sides[0].thickness, p.sides[1].thickness) > 0; b.coated && coated != (b.coats[lane] == 1) {
				t.Fatalf("card %d is coated: %v", lane, coated)
			}
		}
	})
}
