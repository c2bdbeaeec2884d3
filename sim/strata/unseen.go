package strata

import (
	"math"
	"slices"

	"clampodds/dist"
)

// given is the probability of each stratum where the unknown inputs lie at a score of their index; on average over
// the score it is that of the stratum.
func (l *layers) given(score float64) []float64 {
	varies := 0.0 // the part of the direction's variance that is not the unknown inputs'
	for i, v := range l.direction.variable {
		if !slices.Contains(l.unknowns, v) {
			varies += l.direction.weight[i] * l.direction.weight[i]
		}
	}
	mean, sd := math.Sqrt(max(0, 1-varies))*score, math.Sqrt(max(varies, leastVarying))
	p := make([]float64, len(l.strata))
	for h, s := range l.strata {
		p[h] = s.probability / s.slab * (dist.NormalCDF((s.high-mean)/sd) - dist.NormalCDF((s.low-mean)/sd))
	}
	return p
}

// leastVarying keeps from a division by 0 where all that varies lies across the direction.
const leastVarying = 1e-12

// heaviest is the most that one row stands for, seen or not, where the strata have such probabilities.
func (d drawn) heaviest(probability []float64) float64 {
	heaviest := 0.0
	for h, p := range probability {
		heaviest = max(heaviest, p/float64(d.rows[h]))
	}
	return heaviest
}

// withUnseen is the half-width of an interval of a level with what no row showed allowed for, where one stands for at
// most heaviest: rows that happen to show nothing off the direction leave no scatter to tell of it. Where an event is
// expected -ln(tail) times, none is seen with the probability of the tail (Poisson), and that is independent of the rest.
func withUnseen(half, heaviest, level float64) float64 {
	return math.Hypot(half, -heaviest*math.Log((1-level)/2))
}
