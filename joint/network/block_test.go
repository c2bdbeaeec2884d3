package network

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"clampodds/joint/lanes"
)

// TestBlockIsSolve: networks of a block have the bits that each has by itself, nodes that nothing
// holds and infinite ones included.
func TestBlockIsSolve(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 3)
		count := rapid.IntRange(1, 9).Draw(t, "networks")
		g, q := make([]lanes.Row, p.Elements()), make([]lanes.Row, p.Nodes())
		groups, fours := make([]lanes.Row, p.Nodes()), make([]lanes.Row, p.Nodes())
		alone := make([]problem, count)
		for lane := range alone {
			alone[lane].Network = p.Network
			for e, value := range p.g {
				if rapid.IntRange(0, 3).Draw(t, "open") == 0 {
					value = 0
				}
				g[e][lane] = value * rapid.Float64Range(0.1, 10).Draw(t, "by")
				alone[lane].g = append(alone[lane].g, g[e][lane])
			}
			for node := range q {
				q[node][lane] = max(0, rapid.Float64Range(-50, 50).Draw(t, "heat"))
				alone[lane].q = append(alone[lane].q, q[node][lane])
			}
		}
		p.SolveBlock(g, q, &Work{fours: make([]Four, p.size)}, fours, count)
		if lanes.Fast || lanes.Width == 1 {
			p.SolveBlock(g, q, &Work{groups: make([]Group, p.size)}, groups, count)
		} else {
			groups = fours
		}
		for lane := range alone {
			for i, want := range alone[lane].solve() {
				for _, got := range []float64{fours[i][lane], groups[i][lane]} {
					if math.Float64bits(got) != math.Float64bits(want) {
						t.Fatalf("network %d, node %d: %v, by itself %v", lane, i, got, want)
					}
				}
			}
		}
	})
}
