package card

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/joint/lanes"
)

// TestPressOfABlock: forces and all that is reported of them have the bits that each card has alone, with clamps that do
// not take hold, screws that are loose and ramps that stick among them.
func TestPressOfABlock(t *testing.T) {
	needVectors(t)
	rapid.Check(t, func(t *rapid.T) {
		m, s := drawBlock(t, 9)
		for lane := range s.count {
			s.in.rows[cardAcceleration][lane] *= rapid.SampledFrom([]float64{0, 1}).Draw(t, "accelerated")
		}
		for e := range s.edges {
			in := s.edges[e].in.rows
			for lane := range s.count {
				for _, slot := range []int{screwTorque, screwPreloadLoss, screwThreadFriction, screwHeadFriction, frictionWall} {
					in[slot][lane] *= rapid.Float64Range(0.8, 1.2).Draw(t, "by")
				}
				in[screwPreloadLoss][lane] = min(in[screwPreloadLoss][lane], 1)
				in[frictionRamp][lane] *= rapid.SampledFrom([]float64{0.9, 1.1, 10}).Draw(t, "stick")
				in[frictionWall][lane] *= rapid.SampledFrom([]float64{0, 1, 1, 10}).Draw(t, "walls")
				in[screwPrevailing][lane] = rapid.SampledFrom([]float64{0, 0.1, 1.1}).Draw(t, "prevailing") * in[screwTorque][lane]
				in[slotWidth][lane] += rapid.SampledFrom([]float64{0, 0, 0, 0, -0.1, 0.1, -2, 2}).Draw(t, "wider") * in[clampTravel][lane]
			}
		}
		m.pressBlock(s)
		together, pressed := slices.Clone(s.out), s.pressed
		forces := [edges][]lanes.Row{s.edges[0].pressed.forces(), s.edges[1].pressed.forces()}
		clear(s.out)
		m.pressEach(s)
		same := func(of string, i, lane int, alone, together float64) {
			require.Equal(t, math.Float64bits(alone), math.Float64bits(together), "%s %d of card %d: %v, together %v", of, i, lane, alone, together)
		}
		for lane := range s.count {
			require.Equal(t, s.pressed[lane], pressed[lane], "card %d", lane)
			for i := range s.out {
				same("output", i, lane, s.out[i][lane], together[i][lane])
			}
			for e := range s.edges {
				for i, row := range s.edges[e].pressed.forces() {
					if pressed[lane] {
						same("force", i, lane, row[lane], forces[e][i][lane])
					}
				}
			}
		}
	})
}

// forces are the rows that lay sets, but for the gas.
func (b *edgeBlock) forces() []lanes.Row {
	train := &b.clamp.train
	return slices.Concat(train.Outward[:], train.Sideways[:], train.RampNormal[:], []lanes.Row{train.OnFlange, b.overlap})
}
