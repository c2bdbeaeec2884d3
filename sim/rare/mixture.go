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
	fittings      = 5 // steps of the shares' fit, which need not be exact
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

// newMixture gives the origin its share and the centres, those nearer than
// mergeDistance to one before left out, equal parts of the rest. Without centres
// all draws are around the origin.
func newMixture(dim int, defensive float64, centres [][]float64) mixture {
	origin := make([]float64, dim)
	kept := [][]float64{origin}
	for _, c := range centres {
		if !isNear(kept, c) {
			kept = append(kept, c)
		}
	}
	others := float64(len(kept) - 1)
	if others == 0 {
		defensive = 1
	}
	var m mixture
	m.add(defensive, origin)
	for _, c := range kept[1:] {
		m.add((1-defensive)/others, c)
	}
	return m
}

func isNear(centres [][]float64, u []float64) bool {
	return slices.ContainsFunc(centres, func(c []float64) bool { return floats.Distance(c, u, 2) < mergeDistance })
}

// fit returns the mixture whose shares follow weighted failures, as the maximum of
// their likelihood does (the cross-entropy method; Rubinstein & Kroese 2004), but
// for the least share of every centre.
func (m mixture) fit(failures []failure, weights []float64) mixture {
	if len(m.share) == 1 || len(failures) == 0 {
		return m
	}
	defensive, others := m.share[0], float64(len(m.share)-1)
	for range fittings {
		sums := make([]float64, len(m.share))
		for k, f := range failures {
			for j, r := range m.responsibilities(f.u) {
				sums[j] += weights[k] * r
			}
		}
		total := floats.Sum(sums[1:])
		if !(total > 0) {
			return m
		}
		var next mixture
		next.add(defensive, m.centre[0])
		for j, c := range m.centre[1:] {
			next.add((1-defensive)*((1-equalShare)*sums[j+1]/total+equalShare/others), c)
		}
		m = next
	}
	return m
}

// exponents appends those of the components' densities at u over phi(u): with unit normals
// phi(u - c)/phi(u) = exp(c.u - |c|^2/2).
func (m mixture) exponents(to, u []float64) []float64 {
	for j, c := range m.centre {
		to = append(to, m.offset[j]+floats.Dot(c, u))
	}
	return to
}

// responsibilities are the probabilities that a draw at u came from each component.
func (m mixture) responsibilities(u []float64) []float64 {
	r := m.exponents(nil, u)
	total := floats.LogSumExp(r)
	for j := range r {
		r[j] = math.Exp(r[j] - total)
	}
	return r
}

// weight is phi(u)/q(u): the balance heuristic over all components (Veach &
// Guibas, SIGGRAPH 1995; Owen & Zhou, JASA 95 (2000) 135).
func (m mixture) weight(u []float64) float64 {
	var room [64]float64 // more centres are rare
	return math.Exp(-floats.LogSumExp(m.exponents(room[:0], u)))
}

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
