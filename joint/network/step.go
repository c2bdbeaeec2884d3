package network

import "math"

// The numbers of a node lie together in the working storage: its conductance to
// the reference, its heat, then its conductances to the neighbours that are left
// when its turn comes, at least leastLinks of them, 0 where there are fewer.
const (
	ofGround   = 0
	ofHeat     = 1
	ofLinks    = 2
	leastLinks = 4
)

// step eliminates one node. Few nodes have more than four neighbours left, so
// those four are spelled out.
type step struct {
	node, at, degree int32
	to               [leastLinks]int32 // where the neighbours' numbers lie
	pair             [6]int32          // places of the links (1,0), (2,0), (2,1), (3,0), (3,1), (3,2) between them
	more             []neighbour
}

// neighbour is one after the fourth.
type neighbour struct {
	to    int32
	pairs []int32 // places of its links with all the ones before it
}

// eliminate spreads the node over its neighbours. It leaves the shares g_ki / G_k
// in place of the links, and Q_k / G_k in that of the heat.
func (s *step) eliminate(work []float64) {
	k := (*[ofLinks + leastLinks]float64)(work[s.at:])
	first, second, third, fourth := k[ofLinks], k[ofLinks+1], k[ofLinks+2], k[ofLinks+3]
	total := k[ofGround] + first + second + third + fourth
	for i := range s.more {
		total += work[s.place(i)]
	}
	if total == 0 {
		k[ofHeat] = unheld(k[ofHeat])
		return
	}
	give := star{k[ofGround], k[ofHeat], 1 / total}
	k[ofHeat] *= give.inverse
	// From the last neighbour down, so that the links of the earlier ones are
	// still conductances when a pair needs them.
	for i := len(s.more) - 1; i >= 0; i-- {
		share := give.share(work[s.place(i)], work, s.more[i].to)
		work[s.place(i)] = share
		for j, pair := range s.more[i].pairs {
			work[pair] += share * work[int(s.at)+ofLinks+j]
		}
	}
	switch s.degree {
	default:
		share := give.share(fourth, work, s.to[3])
		k[ofLinks+3] = share
		work[s.pair[3]] += share * first
		work[s.pair[4]] += share * second
		work[s.pair[5]] += share * third
		fallthrough
	case 3:
		share := give.share(third, work, s.to[2])
		k[ofLinks+2] = share
		work[s.pair[1]] += share * first
		work[s.pair[2]] += share * second
		fallthrough
	case 2:
		share := give.share(second, work, s.to[1])
		k[ofLinks+1] = share
		work[s.pair[0]] += share * first
		fallthrough
	case 1:
		k[ofLinks] = give.share(first, work, s.to[0])
	case 0:
	}
}

// place is that of the link to more[i].
func (s *step) place(i int) int { return int(s.at) + ofLinks + leastLinks + i }

// star is what a node has to give: g_k0, Q_k and 1/G_k.
type star struct{ toGround, heat, inverse float64 }

// share gives a neighbour its share, which it returns, of the node's heat and path
// to the reference.
func (s *star) share(link float64, work []float64, to int32) float64 {
	share := link * s.inverse
	n := (*[2]float64)(work[to:])
	n[ofGround] += share * s.toGround
	n[ofHeat] += share * s.heat
	return share
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
	k := (*[ofLinks + leastLinks]float64)(work[s.at:])
	t := k[ofHeat]
	for i := range s.more {
		t += passed(work[s.place(i)], work, s.more[i].to)
	}
	switch s.degree {
	default:
		t += passed(k[ofLinks+3], work, s.to[3])
		fallthrough
	case 3:
		t += passed(k[ofLinks+2], work, s.to[2])
		fallthrough
	case 2:
		t += passed(k[ofLinks+1], work, s.to[1])
		fallthrough
	case 1:
		t += passed(k[ofLinks], work, s.to[0])
	case 0:
	}
	k[ofHeat] = t
	return t
}

// passed is what a neighbour's temperature contributes. An open link passes
// nothing, not even from an infinite temperature.
func passed(share float64, work []float64, from int32) float64 {
	if share == 0 {
		return 0
	}
	return share * work[from+ofHeat]
}
