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
