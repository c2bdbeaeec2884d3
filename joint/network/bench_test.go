package network

import (
	"fmt"
	"testing"

	"clampodds/joint/lanes"
)

// cardPattern is the shape of a whole card: two edges of n pieces, each with a
// flange, a train of wedges and two rails, and one card node.
func cardPattern(pieces int) *Builder {
	b := &Builder{}
	card := b.Node("card")
	for _, edge := range []string{"left", "right"} {
		lower, upper := b.Node(edge+" lower rail"), b.Node(edge+" upper rail")
		b.Ground(lower)
		b.Ground(upper)
		var inner, piece int
		for i := range pieces {
			name := func(what string) string { return fmt.Sprintf("%s %s %d", edge, what, i+1) }
			previousInner, previousPiece := inner, piece
			var under int
			inner, under, piece = b.Node(name("flange")), b.Node(name("under clamp")), b.Node(name("piece"))
			b.Link(card, inner)
			b.Link(inner, under)
			b.Link(under, lower)
			if i%2 == 0 {
				b.Link(under, piece)
			} else {
				b.Link(piece, upper)
			}
			if i > 0 {
				b.Link(previousInner, inner)
				b.Link(previousPiece, piece)
			}
		}
	}
	return b
}

// benchProblem is a card with conductances from 1 to 7 W/K and 100 W on it.
func benchProblem(b *testing.B, pieces int) problem {
	n, err := cardPattern(pieces).Compile()
	if err != nil {
		b.Fatal(err)
	}
	p := problem{Network: n, g: make([]float64, n.Elements()), q: make([]float64, n.Nodes())}
	for i := range p.g {
		p.g[i] = 1 + float64(i%7)
	}
	p.q[0] = 100
	return p
}

func BenchmarkSolve(b *testing.B) {
	for _, pieces := range []int{3, 5, 9} {
		b.Run(fmt.Sprintf("edges=2/pieces=%d/networks=%d", pieces, lanes.Count), func(b *testing.B) {
			p := benchProblem(b, pieces)
			g, q, t, work := make([]lanes.Row, p.Elements()), make([]lanes.Row, p.Nodes()), make([]lanes.Row, p.Nodes()), p.NewWork()
			for e := range g {
				g[e].Fill(p.g[e])
			}
			q[0].Fill(p.q[0])
			b.ReportAllocs()
			for b.Loop() {
				p.SolveBlock(g, q, work, t, lanes.Count)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/lanes.Count, "ns/network")
		})
	}
}
