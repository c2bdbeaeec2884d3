package rare

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

const (
	defensiveShare = 0.1
	equalShare     = 0.25 // of the rest, so that no centre is starved by a better one
	// mergeDistance is how near two centres of unit spread serve as one.
	mergeDistance = 0.3
)

// mixture is the sampling density q(u) = sum_j share_j phi(u - centre_j) of unit
// normals. The first centre is the origin: the defensive component, which bounds
// every weight by 1/share_0 (Hesterberg, Technometrics 37 (1995) 185). Unit
// spread keeps the weights a function of the directions of the centres alone,
// whatever the number of variables.
type mixture struct {
	share  []float64
	centre [][]float64
	offset []float64 // ln share_j - |centre_j|^2/2
}

func (m *mixture) add(share float64, centre []float64) {
	m.share = append(m.share, share)
	m.centre = append(m.centre, centre)
	m.offset = append(m.offset, math.Log(share)-floats.Dot(centre, centre)/2)
}

// newMixture shares the components out by the first-order probability of the
// design points. Crude is the share of crude draws that failed: where failure is
// not rare the draws around the origin serve best.
func newMixture(dim int, points []DesignPoint, crude float64) mixture {
	var centres [][]float64
	var likely []float64
	for _, p := range points {
		same := func(c []float64) bool { return floats.Distance(c, p.U, 2) < mergeDistance }
		if !slices.ContainsFunc(centres, same) {
			centres = append(centres, p.U)
			likely = append(likely, p.Approximation())
		}
	}
	var m mixture
	defensive := 1.0
	if len(centres) > 0 {
		defensive = max(defensiveShare, crude)
	}
	m.add(defensive, make([]float64, dim))
	total := floats.Sum(likely)
	for j, c := range centres {
		m.add((1-defensive)*((1-equalShare)*likely[j]/total+equalShare/float64(len(centres))), c)
	}
	return m
}

// weight is phi(u)/q(u): the balance heuristic over all components (Veach &
// Guibas, SIGGRAPH 1995; Owen & Zhou, JASA 95 (2000) 135). With unit normals
// phi(u - c)/phi(u) = exp(c.u - |c|^2/2).
func (m mixture) weight(u []float64) float64 {
	exponents := make([]float64, len(m.share))
	for j, c := range m.centre {
		exponents[j] = m.offset[j] + floats.Dot(c, u)
	}
	return math.Exp(-floats.LogSumExp(exponents))
}

// defensive is the probability that a draw at u came from the origin's
// component: near 1 where no centre covers u.
func (m mixture) defensive(u []float64) float64 { return m.share[0] * m.weight(u) }

// component picks the centre for row r of n by systematic sampling with the
// offset in [0, 1): each centre gets its share of the rows within one.
func (m mixture) component(r, n int, offset float64) int {
	at := (float64(r) + offset) / float64(n)
	for j, s := range m.share {
		if at -= s; at < 0 {
			return j
		}
	}
	return len(m.share) - 1
}
