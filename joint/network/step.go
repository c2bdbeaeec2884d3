package network

import "math"

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

// eliminate spreads the node over its neighbours. It leaves the shares g_ki / G_k
// in place of the links, and Q_k / G_k in that of the heat. The conversions keep a compiler from
// fusing product and sum: SolveBlock has the same bits.
func (s *step) eliminate(work []float64) {
	k := work[s.at:][:ofLinks+len(s.to)]
	total := k[ofGround]
	for _, link := range k[ofLinks:] {
		total += link
	}
	if total == 0 {
		k[ofHeat] = unheld(k[ofHeat])
		return
	}
	inverse := 1 / total
	// From the last neighbour down, so that the links of the earlier ones are
	// still conductances when a pair needs them.
	for j := len(s.to) - 1; j >= 0; j-- {
		share := k[ofLinks+j] * inverse
		k[ofLinks+j] = share
		work[s.to[j]+ofGround] += float64(share * k[ofGround])
		work[s.to[j]+ofHeat] += float64(share * k[ofHeat])
		for i, pair := range s.links(j) {
			work[pair] += float64(share * k[ofLinks+i])
		}
	}
	k[ofHeat] *= inverse
}

// unheld is the temperature of a node that nothing holds.
func unheld(heat float64) float64 {
	if heat == 0 {
		return 0
	}
	return math.Inf(int(math.Copysign(1, heat)))
}

// substitute returns the node's temperature, adding what those of its neighbours
// contribute, and leaves it in place of the heat.
func (s *step) substitute(work []float64) float64 {
	k := work[s.at:][:ofLinks+len(s.to)]
	t := k[ofHeat]
	for j := len(s.to) - 1; j >= 0; j-- {
		t += passed(k[ofLinks+j], work[s.to[j]+ofHeat])
	}
	k[ofHeat] = t
	return t
}

// passed is what a neighbour's temperature contributes. An open link passes
// nothing, not even from an infinite temperature.
func passed(share, temperature float64) float64 {
	if share == 0 {
		return 0
	}
	return float64(share * temperature)
}
