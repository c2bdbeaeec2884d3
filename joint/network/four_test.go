package network

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestFourAreOne: four networks at once have the temperatures of each by itself, to some
// dozen roundings, nodes that nothing holds and infinite ones included.
func TestFourAreOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 3)
		var g, q, temperature [4][]float64
		for k := range g {
			temperature[k] = make([]float64, p.Nodes())
			for _, value := range p.g {
				if rapid.IntRange(0, 3).Draw(t, "open") == 0 {
					value = 0
				}
				g[k] = append(g[k], value*rapid.Float64Range(0.1, 10).Draw(t, "by"))
			}
			for range p.q {
				q[k] = append(q[k], max(0, rapid.Float64Range(-50, 50).Draw(t, "heat")))
			}
		}
		p.SolveFour(g, q, make([]Four, p.WorkSize()), temperature)
		for k := range g {
			for i, want := range (problem{p.Network, g[k], q[k]}).solve() {
				if got := temperature[k][i]; got != want && !(math.Abs(got-want) <= 1e-14*want) {
					t.Fatalf("network %d, node %d: %v, by itself %v", k, i, got, want)
				}
			}
		}
	})
}
