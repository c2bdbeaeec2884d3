// Package network solves steady heat conduction in a network of conductances
// whose pattern is fixed and whose values change from draw to draw.
//
// Temperatures are differences to one reference, the cold wall. A Builder
// names the nodes and joins them; Compile picks an order of elimination once
// and turns it into a flat program; Solve runs the program on one set of
// conductances and sources without allocating.
//
// Nodes are eliminated by the star-mesh transformation: removing node k, which
// has links g_ki to nodes i, the link g_k0 to the reference and the source Q_k,
// with G_k = g_k0 + sum g_ki,
//
//	g_ij += g_ki g_kj / G_k,   g_i0 += g_ki g_k0 / G_k,   Q_i += (g_ki / G_k) Q_k
//
// and, once the T_i are known, T_k = Q_k / G_k + sum (g_ki / G_k) T_i. It is
// Gaussian elimination of the symmetric system G T = Q in which the diagonal is
// never formed: every number is a sum of products of non-negative numbers, so
// nothing cancels, and with sources >= 0 every temperature is accurate to a few
// dozen roundings relative to itself however far apart the conductances lie
// (Grassmann, Taksar and Heyman 1985; O'Cinneide 1993).
package network

import (
	"fmt"
	"math"
)

// step eliminates one node: its links are links[first:last], the slots of the
// pairs of its neighbours start at fill[pairs], and its conductance to the
// reference is in the slot of its own index.
type step struct {
	node        int32
	first, last int32
	pairs       int32
}

// link is one remaining neighbour of the node being eliminated.
type link struct{ node, slot int32 }

// Network is a compiled pattern. It is immutable and safe for concurrent use.
type Network struct {
	names    []string
	elements []element
	load     []int32 // slot of each element
	steps    []step
	links    []link
	fill     []int32 // slots of neighbour pairs: (1,0), (2,0), (2,1), ...
	slots    int
}

// Nodes returns the number of nodes.
func (n *Network) Nodes() int { return len(n.names) }

// Elements returns the number of elements, links and grounds together.
func (n *Network) Elements() int { return len(n.elements) }

// WorkSize returns the length Solve asks of its working storage.
func (n *Network) WorkSize() int { return n.slots }

// NodeName returns the name of a node.
func (n *Network) NodeName(node int) string { return n.names[node] }

// Ends returns the two nodes of an element; second is -1 for one that joins
// its node to the reference.
func (n *Network) Ends(index int) (first, second int) {
	return n.elements[index].a, n.elements[index].b
}

// Solve computes the temperature of every node above the reference, in K.
//
// conductance holds one value per element, W/K, finite and >= 0; source one per
// node, the heat put in there, W; temperature, one per node, receives the
// result; work is scratch of WorkSize values. Sources may be negative, at the
// price of the componentwise accuracy. conductance and source are not modified.
// A conductance of 0 is an open link. A node that open links leave without any
// path to the reference has the temperature +Inf when heat is put into its
// part of the network (-Inf when heat is taken), 0 when none is. NaN only comes
// out when NaN, Inf or a negative conductance goes in, or when the conductances
// at one node add up to more than the largest float64.
//
// It panics when a slice has the wrong length. Safe for concurrent use with
// different work and temperature.
func (n *Network) Solve(conductance, source, work, temperature []float64) {
	if len(conductance) != len(n.elements) || len(source) != len(n.names) ||
		len(work) != n.slots || len(temperature) != len(n.names) {
		panic(fmt.Sprintf("network: Solve got %d conductances, %d sources, %d work, %d temperatures; want %d, %d, %d, %d",
			len(conductance), len(source), len(work), len(temperature), len(n.elements), len(n.names), n.slots, len(n.names)))
	}
	clear(work)
	for e, slot := range n.load {
		work[slot] += conductance[e]
	}
	copy(temperature, source)
	for i := range n.steps {
		n.eliminateNode(&n.steps[i], work, temperature)
	}
	for i := len(n.steps) - 1; i >= 0; i-- {
		n.substitute(&n.steps[i], work, temperature)
	}
}

// eliminateNode spreads node k over its neighbours. It leaves the shares
// g_ki / G_k in the slots of the links and Q_k / G_k in temperature[k].
func (n *Network) eliminateNode(s *step, work, temperature []float64) {
	links := n.links[s.first:s.last]
	toGround := work[s.node]
	total := toGround
	for _, l := range links {
		total += work[l.slot]
	}
	heat := temperature[s.node]
	if total == 0 {
		temperature[s.node] = unheld(heat)
		return
	}
	temperature[s.node] = heat / total
	// From the last neighbour down, so that the links of the earlier ones are
	// still conductances when a pair needs them.
	pair := int(s.pairs) + len(links)*(len(links)-1)/2
	for i := len(links) - 1; i >= 0; i-- {
		share := work[links[i].slot] / total
		work[links[i].slot] = share
		work[links[i].node] += share * toGround
		temperature[links[i].node] += share * heat
		pair -= i
		for j, slot := range n.fill[pair : pair+i] {
			work[slot] += share * work[links[j].slot]
		}
	}
}

// unheld is the temperature of a node that nothing holds.
func unheld(heat float64) float64 {
	if heat == 0 {
		return 0
	}
	return math.Inf(int(math.Copysign(1, heat)))
}

// substitute adds what the neighbours' temperatures contribute to node k.
func (n *Network) substitute(s *step, work, temperature []float64) {
	t := temperature[s.node]
	for _, l := range n.links[s.first:s.last] {
		// An open link passes nothing, not even from an infinite temperature.
		if share := work[l.slot]; share != 0 {
			t += share * temperature[l.node]
		}
	}
	temperature[s.node] = t
}

// Heat computes the heat through each element, W, from its first node to its
// second or to the reference: g (T_first - T_second). An open element carries
// 0, one inside an infinitely hot island NaN. It panics when a slice has the wrong length.
func (n *Network) Heat(conductance, temperature, heat []float64) {
	if len(conductance) != len(n.elements) || len(temperature) != len(n.names) || len(heat) != len(n.elements) {
		panic(fmt.Sprintf("network: Heat got %d conductances, %d temperatures, %d heats; want %d, %d, %d",
			len(conductance), len(temperature), len(heat), len(n.elements), len(n.names), len(n.elements)))
	}
	for i, e := range n.elements {
		far := 0.0
		if e.b != ground {
			far = temperature[e.b]
		}
		heat[i] = 0
		if conductance[i] != 0 {
			heat[i] = conductance[i] * (temperature[e.a] - far)
		}
	}
}

// Residual returns the largest imbalance of any node, W: the heat put in less
// the heat that leaves through its elements. It is a difference of the rounded
// heats, so it is as large as the largest g T times a few 1e-16. It panics when
// a slice has the wrong length.
func (n *Network) Residual(source, heat []float64) float64 {
	balance := append([]float64(nil), source...)
	for i, e := range n.elements {
		balance[e.a] -= heat[i]
		if e.b != ground {
			balance[e.b] += heat[i]
		}
	}
	worst := 0.0
	for _, b := range balance {
		worst = math.Max(worst, math.Abs(b))
	}
	return worst
}
