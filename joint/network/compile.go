package network

import (
	"maps"
	"slices"
)

// Compile fixes the pattern: it picks the order of elimination by minimum
// degree (ties go to the node added first), finds the links that elimination
// creates, and lays the arithmetic out as a list of steps. The builder may be
// used further; the network does not see it.
//
// The error names the node that has no path to the reference, or whose name is
// empty or used twice.
func (b *Builder) Compile() (*Network, error) {
	if err := b.check(); err != nil {
		return nil, err
	}
	n := &Network{
		names:    slices.Clone(b.names),
		elements: slices.Clone(b.elements),
	}
	p := b.order()
	for _, k := range p.order {
		n.steps = append(n.steps, p.step(k))
	}
	for _, e := range b.elements {
		n.load = append(n.load, p.place(e.a, e.b))
	}
	for k := range b.names {
		n.heat = append(n.heat, p.at[k]+ofHeat)
	}
	n.size = int(p.size)
	return n, nil
}

// pattern is an order of elimination, the neighbours each node has left when its
// turn comes, and where its numbers lie.
type pattern struct {
	order      []int
	neighbours [][]int // by node
	at         []int32 // by node
	size       int32
}

// order eliminates the nodes in the order of least degree.
func (b *Builder) order() *pattern {
	nodes := len(b.names)
	adjacent := make([]map[int]bool, nodes) // nil for a node that is gone
	for k := range adjacent {
		adjacent[k] = map[int]bool{}
	}
	join := func(i, j int) { adjacent[i][j], adjacent[j][i] = true, true }
	for _, e := range b.elements {
		if e.b != ground {
			join(e.a, e.b)
		}
	}
	p := &pattern{neighbours: make([][]int, nodes), at: make([]int32, nodes)}
	for range nodes {
		k := leastDegree(adjacent)
		neighbours := slices.Sorted(maps.Keys(adjacent[k]))
		adjacent[k] = nil
		for i, first := range neighbours {
			delete(adjacent[first], k)
			for _, second := range neighbours[:i] {
				join(first, second)
			}
		}
		p.order = append(p.order, k)
		p.neighbours[k] = neighbours
	}
	p.level()
	for _, k := range p.order {
		p.at[k] = p.size
		p.size += int32(ofLinks + len(p.neighbours[k]))
	}
	return p
}

// level sorts the order by how many steps each has to wait for, one after another. What a
// node gives it gives to neighbours that come later, so the neighbours, and with them the
// arithmetic, stay as they are; but steps that follow each other seldom need
// each other, and a processor works on several at once.
func (p *pattern) level() {
	waits := make([]int, len(p.order)) // by node
	for _, k := range p.order {
		for _, n := range p.neighbours[k] {
			waits[n] = max(waits[n], waits[k]+1)
		}
	}
	slices.SortStableFunc(p.order, func(a, b int) int { return waits[a] - waits[b] })
}

// leastDegree returns the remaining node with the fewest remaining neighbours.
func leastDegree(adjacent []map[int]bool) int {
	best := -1
	for k, neighbours := range adjacent {
		if neighbours != nil && (best < 0 || len(neighbours) < len(adjacent[best])) {
			best = k
		}
	}
	return best
}

// step lays out the elimination of node k.
func (p *pattern) step(k int) step {
	s := step{node: int32(k), at: p.at[k]}
	for i, n := range p.neighbours[k] {
		s.to = append(s.to, p.at[n])
		for _, other := range p.neighbours[k][:i] {
			s.pairs = append(s.pairs, p.place(n, other))
		}
	}
	return s
}

// place is that of the conductance between two nodes, which lies with the one
// eliminated first, or between a node and the reference.
func (p *pattern) place(i, j int) int32 {
	if j == ground {
		return p.at[i] + ofGround
	}
	if p.at[j] < p.at[i] {
		i, j = j, i
	}
	return p.at[i] + ofLinks + int32(slices.Index(p.neighbours[i], j))
}
