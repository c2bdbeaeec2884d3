package network

// Compile fixes the pattern: it picks the order of elimination by minimum
// degree (ties go to the node added first), finds the links that elimination
// creates, and lays the arithmetic out as a flat program. The builder may be
// used further; the network does not see it.
//
// The error names the node that has no path to the reference, or whose name is
// empty or used twice.
func (b *Builder) Compile() (*Network, error) {
	if err := b.check(); err != nil {
		return nil, err
	}
	n := &Network{
		names:    append([]string(nil), b.names...),
		elements: append([]element(nil), b.elements...),
	}
	p := newPattern(len(b.names))
	for _, e := range b.elements {
		n.load = append(n.load, int32(p.slot(e.a, e.b)))
	}
	for range b.names {
		n.eliminate(p)
	}
	n.slots = p.slots
	return n, nil
}

// eliminate appends to the program the elimination of the node of least degree
// and joins its neighbours in the pattern.
func (n *Network) eliminate(p *pattern) {
	k := p.leastDegree()
	s := step{node: int32(k), first: int32(len(n.links)), pairs: int32(len(n.fill))}
	neighbours := p.neighbours(k)
	for i, to := range neighbours {
		n.links = append(n.links, link{node: int32(to), slot: int32(p.slot(k, to))})
		for _, other := range neighbours[:i] {
			n.fill = append(n.fill, int32(p.slot(to, other)))
		}
	}
	s.last = int32(len(n.links))
	n.steps = append(n.steps, s)
	p.remove(k)
}

// pattern is the graph of the nodes not yet eliminated; adjacent[i][j] is the
// slot of the working storage that holds the conductance between i and j, -1
// where there is none. Slot i < number of nodes holds node i's conductance to
// the reference.
type pattern struct {
	adjacent [][]int
	gone     []bool
	slots    int
}

func newPattern(nodes int) *pattern {
	p := &pattern{adjacent: make([][]int, nodes), gone: make([]bool, nodes), slots: nodes}
	for i := range p.adjacent {
		p.adjacent[i] = make([]int, nodes)
		for j := range p.adjacent[i] {
			p.adjacent[i][j] = -1
		}
	}
	return p
}

// slot returns the slot between two nodes, or of a node and the reference,
// making one when there is none yet.
func (p *pattern) slot(i, j int) int {
	if j == ground {
		return i
	}
	if p.adjacent[i][j] < 0 {
		p.adjacent[i][j] = p.slots
		p.adjacent[j][i] = p.slots
		p.slots++
	}
	return p.adjacent[i][j]
}

// neighbours lists the remaining nodes linked to k, in index order.
func (p *pattern) neighbours(k int) []int {
	var list []int
	for j, slot := range p.adjacent[k] {
		if slot >= 0 && !p.gone[j] {
			list = append(list, j)
		}
	}
	return list
}

func (p *pattern) remove(k int) { p.gone[k] = true }

// leastDegree returns the remaining node with the fewest remaining neighbours.
func (p *pattern) leastDegree() int {
	best, fewest := -1, 0
	for k := range p.adjacent {
		if p.gone[k] {
			continue
		}
		if d := len(p.neighbours(k)); best < 0 || d < fewest {
			best, fewest = k, d
		}
	}
	return best
}
