package strata

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/interval"
)

// ErrMovedKnowledge: what is not known differs between two designs. What one knows
// better is not a better design.
var ErrMovedKnowledge = errors.New("what is not known differs between the designs")

// UnknownChange is the change of an exceedance probability with lack of knowledge
// kept apart from variation: a number for every state of the inputs not known.
type UnknownChange struct {
	// Mean is its mean over those inputs, Upper its quantile of probability
	// Confidence: the change is below it with that confidence, so far as the
	// distributions of the unknown inputs are right. The intervals are those of the
	// computation.
	Mean, Upper sim.Estimate
	Inputs      []string
	Evaluations int64
}

// KnowledgeOfChange estimates how other - (1+share) first, the change of the probability
// of exceeding q from the first design to the other, is distributed over the variables marked Knowledge,
// which must be the same in both: the method of Knowledge, both designs evaluated on
// the same rows at the same points, and the change read from the two surfaces at the
// same places. lead, 0 or 1, is best the design that exceeds more often.
//
// Errors are those of Knowledge, and ErrMovedKnowledge.
func KnowledgeOfChange(ctx context.Context, designs [2]sim.Scenario, lead int, q sim.Requirement, share float64, o KnowledgeOptions) (*UnknownChange, error) {
	if err := SameKnowledge(designs[0].Plan, designs[1].Plan); err != nil {
		return nil, err
	}
	in, probabilities, b, err := layers(ctx, []sim.Scenario{designs[lead], designs[1-lead]}, q, o)
	if err != nil {
		return nil, err
	}
	first, second := probabilities[lead], probabilities[1-lead]
	u, err := b.change(in.scores, first, second, share, o)
	if err != nil {
		return nil, err
	}
	u.Inputs, u.Evaluations = in.names(), in.evaluations()
	return u, nil
}

// sameKnowledge compares what is not known in two plans, by name and distribution.
func SameKnowledge(a, b *sim.Plan) error {
	for _, pair := range [2][2]*sim.Plan{{a, b}, {b, a}} {
		for _, v := range pair[0].Variables() {
			if !v.Knowledge {
				continue
			}
			at := variableAt(pair[1], v.Name)
			if at < 0 || !pair[1].Variables()[at].Knowledge || !sameQuantiles(v.Dist, pair[1].Variables()[at].Dist) {
				return fmt.Errorf("%w: %s", ErrMovedKnowledge, v.Name)
			}
		}
	}
	return nil
}

// sameQuantiles compares distributions by their values at some probabilities.
func sameQuantiles(a, b dist.Distribution) bool {
	for _, p := range []float64{1e-6, 0.05, 0.3, 0.5, 0.8, 0.95, 1 - 1e-6} {
		if a.Quantile(p) != b.Quantile(p) {
			return false
		}
	}
	return true
}

// change reads the change of the probability from the surfaces of two designs.
func (b basis) change(scores, first, second [][]float64, share float64, o KnowledgeOptions) (*UnknownChange, error) {
	design, reading := b.matrix(scores), b.reading(o.Seed)
	var mean [2][][]float64
	var weight [2][]float64
	var misfit [2]float64
	for d, probabilities := range [2][][]float64{first, second} {
		mean[d], weight[d] = probabilities, weights(probabilities)
		var err error
		if misfit[d], err = b.misfit(design, probabilities, weight[d]); err != nil {
			return nil, err
		}
	}
	read := func(groups func(int) bool, point func(weight []float64) []float64) (summary, error) {
		var heights [2][]float64
		for d := range heights {
			fit, err := b.fit(design, average(mean[d], groups), point(weight[d]))
			if err != nil {
				return summary{}, err
			}
			heights[d] = reading.heights(fit, misfit[d])
		}
		return changeOf(heights, share, o.Confidence), nil
	}
	every, asIs := func(int) bool { return true }, func(w []float64) []float64 { return w }
	all, err := read(every, asIs)
	if err != nil {
		return nil, err
	}
	byRows, err := jackknife(rowGroups, all, plainly, func(g int) (summary, error) {
		return read(func(other int) bool { return other != g }, asIs)
	})
	if err != nil {
		return nil, err
	}
	byPoints, err := jackknife(pointGroups, all, plainly, func(g int) (summary, error) {
		return read(every, func(w []float64) []float64 { return without(w, g) })
	})
	if err != nil {
		return nil, err
	}
	u := &UnknownChange{}
	for i, e := range map[int]*sim.Estimate{0: &u.Mean, 2: &u.Upper} {
		half := interval.StudentTUpper((1-o.Confidence)/2, pointGroups-1) * scatter(byRows[i], byPoints[i])
		*e = sim.Estimate{
			Value: all.values[i], Low: max(-1-share, all.values[i]-half), High: min(1, all.values[i]+half),
			Level: o.Confidence, Achieved: o.Confidence, Method: "surfaces of both designs over the unknown inputs, jackknife over rows and points",
		}
	}
	return u, nil
}

// changeOf summarises the difference of the probabilities at the places read.
func changeOf(heights [2][]float64, share, confidence float64) summary {
	d := make([]float64, len(heights[0]))
	for i := range d {
		d[i] = dist.NormalSurvival(heights[1][i]) - (1+share)*dist.NormalSurvival(heights[0][i])
	}
	mean := stat.Mean(d, nil)
	slices.Sort(d)
	at := func(p float64) float64 { return stat.Quantile(p, stat.LinInterp, d, nil) }
	return summary{values: [3]float64{mean, at(0.5), at(confidence)}}
}

// heights are those of a surface where it is read, the misfit added.
func (r reading) heights(s surface, misfit float64) []float64 {
	var heights mat.VecDense
	heights.MulVec(r.terms, s.coefficients)
	z := heights.RawVector().Data
	for i, extra := range r.extra {
		z[i] += misfit * extra
	}
	return z
}

// without is the weights with those of one group of points 0.
func without(weight []float64, group int) []float64 {
	left := slices.Clone(weight)
	for m := group; m < len(left); m += pointGroups {
		left[m] = 0
	}
	return left
}

// scatter is the standard error of a mean of pseudo-values by rows and by points.
func scatter(byRows, byPoints []float64) float64 {
	return math.Hypot(stat.StdErr(stat.StdDev(byRows, nil), rowGroups), stat.StdErr(stat.StdDev(byPoints, nil), pointGroups))
}

// plainly is the scale of numbers that may be of either sign.
func plainly(x float64) float64 { return x }
