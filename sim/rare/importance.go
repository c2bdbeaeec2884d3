package rare

import (
	"math"
	"math/rand/v2"

	"clampodds/sim/interval"
)

const (
	importanceBatch  = 500
	fewestDraws      = 1000 // below, the interval of skewed weights covers too little
	fewestEffective  = 50
	largestFairShare = 0.1
)

// Importance is what importance sampling found.
type Importance struct {
	// Union is the probability of any event, Events that of each.
	Union  Probability
	Events []Probability
	// Failures counts the draws that failed. EffectiveDraws is (sum w)^2/sum w^2
	// over their weights w (Kish), LargestShare the largest w/sum w.
	Failures       int
	EffectiveDraws float64
	LargestShare   float64
	// Trace is the running estimate after each batch, Replicates the estimate
	// of each batch on its own.
	Trace, Replicates []float64
	// Evaluations of the model used.
	Evaluations int
	Warnings    []Warning

	wide Probability // Union at the level of agreement
}

// sound reports whether enough draws carry the estimate.
func (r Importance) sound() bool {
	return r.EffectiveDraws >= fewestEffective && r.LargestShare <= largestFairShare
}

// tally sums the weights of the draws that failed.
type tally struct {
	failures                             int
	sum, squares, cubes, fourth, largest float64
}

func (t *tally) add(weight float64) {
	t.failures++
	t.sum += weight
	square := weight * weight
	t.squares += square
	t.cubes += weight * square
	t.fourth += square * square
	t.largest = max(t.largest, weight)
}

// probability is the mean of n weighted indicators, with a t interval on the
// logarithm: estimate and error are positively correlated, since a draw of great
// weight raises both, and the symmetric interval would miss high values.
func (t tally) probability(n int, level float64) Probability {
	size := float64(n)
	p := Probability{Value: t.sum / size, Level: level, Method: ImportanceSampling}
	// Sample variance of the mean. The systematic allocation to components can
	// only lower it (Owen & Zhou 2000), so this is on the safe side.
	p.StandardError = math.Sqrt(max(0, t.squares-t.sum*p.Value) / (size * (size - 1)))
	spread := math.Exp(interval.StudentTUpper((1-level)/2, t.freedom(size)) * p.RelativeError())
	p.Low, p.High = p.Value/spread, min(1, p.Value*spread)
	return p
}

// freedom is the number of degrees of freedom of the variance of the weighted
// indicators, from their kurtosis: with heavy weights far fewer than n - 1. The
// variance s^2 of n draws has variance (kurtosis - 1) s^4/n, that of a chi-squared
// one 2 s^4/freedom.
func (t tally) freedom(n float64) float64 {
	mean, second, third, fourth := t.sum/n, t.squares/n, t.cubes/n, t.fourth/n
	variance := second - mean*mean
	central := fourth - 4*mean*third + 6*mean*mean*second - 3*mean*mean*mean*mean
	kurtosis := central / (variance * variance)
	if !(kurtosis > 1) { // all equal
		return n - 1
	}
	return min(n-1, 2*n/(kurtosis-1))
}

// sampleMixture draws batch after batch until the union's relative standard
// error reaches the target or the meter's limit is near. The stream's index
// carries the round, so that a repetition with other centres draws anew.
func sampleMixture(m *meter, q mixture, stream Stream, round uint64, target, level float64) Importance {
	var r Importance
	var union tally
	events := make([]tally, m.Events)
	b := m.newBatch(importanceBatch)
	for m.affords(importanceBatch) {
		before := union.sum
		q.draw(stream("rare/importance", round<<32|uint64(len(r.Trace))), b.u)
		m.evaluate(b)
		for row, u := range b.u {
			if !b.fails(row) {
				continue
			}
			weight := q.weight(u)
			union.add(weight)
			for e := range events {
				if b.g[e][row] <= 0 {
					events[e].add(weight)
				}
			}
		}
		r.Evaluations += importanceBatch
		r.Replicates = append(r.Replicates, (union.sum-before)/importanceBatch)
		r.Trace = append(r.Trace, union.sum/float64(r.Evaluations))
		r.Union = q.probability(union, r.Evaluations, level)
		if r.Evaluations >= fewestDraws && r.Union.RelativeError() <= target {
			break
		}
	}
	r.wide = q.probability(union, r.Evaluations, agreementLevel)
	for _, t := range events {
		r.Events = append(r.Events, q.probability(t, r.Evaluations, level))
	}
	r.Failures = union.failures
	if union.failures > 0 {
		r.EffectiveDraws = union.sum * union.sum / union.squares
		r.LargestShare = union.largest / union.sum
	}
	r.caution(target)
	return r
}

// draw fills the rows u by systematic allocation to the components.
func (q mixture) draw(random *rand.Rand, u [][]float64) {
	offset := random.Float64()
	for row, at := range u {
		centre := q.centre[q.component(row, len(u), offset)]
		for i := range at {
			at[i] = centre[i] + random.NormFloat64()
		}
	}
}

// probability turns a tally into an estimate: an exact count where the mixture
// is the standard normal itself, or where nothing failed.
func (q mixture) probability(t tally, n int, level float64) Probability {
	if len(q.share) == 1 || t.failures == 0 {
		return counted(t.failures, int(q.share[0]*float64(n)), level)
	}
	return t.probability(n, level)
}

func (r *Importance) caution(target float64) {
	switch {
	case r.Failures == 0:
		r.Warnings = append(r.Warnings, warn(NoFailureSeen, "none of %d draws failed", r.Evaluations))
		return
	case !r.sound():
		r.Warnings = append(r.Warnings, warn(WeightsCollapsed, "%.3g effective draws, largest weight share %.2g",
			r.EffectiveDraws, r.LargestShare))
	}
	if relative := r.Union.RelativeError(); relative > target {
		r.Warnings = append(r.Warnings, warn(TargetMissed, "relative standard error %.2g, wanted %.2g", relative, target))
	}
}
