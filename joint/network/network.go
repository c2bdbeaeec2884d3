// Package network solves steady heat conduction in a network of conductances
// whose pattern is fixed and whose values change from draw to draw.
//
// Temperatures are differences to one reference, the cold wall. A Builder
// names the nodes and joins them; Compile picks an order of elimination once
// and turns it into a flat program; SolveBlock runs the program on many sets of
// conductances and sources without allocating, Solve on one.
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

	"clampodds/joint/lanes"
)

// Network is a compiled pattern. It is immutable and safe for concurrent use.
type Network struct {
	names    []string
	elements []element
	load     []int32 // place of each element in the working storage
	heat     []int32 // and of each node's heat
	steps    []step
	size     int // of the working storage
}

// Nodes returns the number of nodes.
func (n *Network) Nodes() int { return len(n.names) }

// Elements returns the number of elements, links and grounds together.
func (n *Network) Elements() int { return len(n.elements) }

// NodeName returns the name of a node.
func (n *Network) NodeName(node int) string { return n.names[node] }

// Ends returns the two nodes of an element; second is -1 for one that joins
// its node to the reference.
func (n *Network) Ends(index int) (first, second int) {
	return n.elements[index].a, n.elements[index].b
}

// Solve returns the temperature of every node above the reference, in K.
//
// conductance holds one value per element, W/K, 0 or 1e-150 to 1e150; source one per
// node, the heat put in there, W. Sources may be negative, at the
// price of the componentwise accuracy. conductance and source are not modified.
// A conductance of 0 is an open link. A node that open links leave without any
// path to the reference has the temperature +Inf when heat is put into its
// part of the network (-Inf when heat is taken), 0 when none is. NaN only comes
// out when NaN, Inf or a negative conductance goes in, or when the conductances
// at one node add up to more than the largest float64.
//
// It panics when a slice has the wrong length. Safe for concurrent use.
func (n *Network) Solve(conductance, source []float64) []float64 {
	rows := func(values []float64) []lanes.Row {
		rows := make([]lanes.Row, len(values))
		for i, x := range values {
			rows[i].Fill(x)
		}
		return rows
	}
	temperature := make([]float64, len(n.names))
	found := rows(temperature)
	n.SolveBlock(rows(conductance), rows(source), n.NewWork(), found, 1)
	for i := range found {
		temperature[i] = found[i][0]
	}
	return temperature
}

func (n *Network) check(conductances, sources, work, temperatures int) {
	if conductances != len(n.elements) || sources != len(n.names) || work != n.size || temperatures != len(n.names) {
		panic(fmt.Sprintf("network: got %d conductances, %d sources, %d work, %d temperatures; want %d, %d, %d, %d",
			conductances, sources, work, temperatures, len(n.elements), len(n.names), n.size, len(n.names)))
	}
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

// The numbers of a node lie together in the working storage: its conductance to
// the reference, its heat, then its conductances to the neighbours that are left
// when its turn comes.
const (
	ofGround = 0
	ofHeat   = 1
	ofLinks  = 2
)

// step eliminates one node.
type step struct {
	node, at int32
	to       []int32 // where the neighbours' numbers lie
	pairs    []int32 // places of the links (1,0), (2,0), (2,1), (3,0)... between them
}

// links are the places of the links of neighbour j with all the ones before it.
func (s *step) links(j int) []int32 { return s.pairs[j*(j-1)/2:][:j] }

// unheld is the temperature of a node that nothing holds.
func unheld(heat float64) float64 {
	if heat == 0 {
		return 0
	}
	return math.Inf(int(math.Copysign(1, heat)))
}

// passed is what a neighbour's temperature contributes. An open link passes
// nothing, not even from an infinite temperature.
func passed(share, temperature float64) float64 {
	if share == 0 {
		return 0
	}
	return float64(share * temperature)
}
