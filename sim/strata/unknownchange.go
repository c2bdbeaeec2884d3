package strata

import (
	"context"
	"errors"
	"fmt"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
	"clampodds/sim"
)

// ErrMovedKnowledge: what is not known differs between two designs.
var ErrMovedKnowledge = errors.New("what is not known differs between the designs")

// UnknownChange is the change of an exceedance probability with lack of knowledge
// kept apart from variation: a number for every state of the inputs not known.
type UnknownChange struct {
	// Mean is its mean over those inputs, Upper its quantile of probability
	// Confidence: the change is below it with that confidence, so far as the
	// distributions of the unknown inputs are right. The intervals are those of the
	// computation.
	Mean, Upper sim.Estimate
	Evaluations int64
}

// KnowledgeOfChange estimates how other - (1+share) first, the change of the probability
// of exceeding q from the first design to the other, is distributed over the variables marked Knowledge,
// which must have the same names in both: the method of KnowledgeLook, both designs evaluated on
// the same rows at the same points, and the change read from the two surfaces at the
// same places, the normal scores of these variables. lead, 0 or 1, is best the design that
// exceeds more often. Whether their distributions may differ is the caller's to say (SameKnowledge).
//
// Errors are those of NewKnowledgeLook, and ErrMovedKnowledge.
func KnowledgeOfChange(ctx context.Context, designs [2]sim.Scenario, lead int, q sim.Requirement, share float64, o KnowledgeOptions) (*UnknownChange, error) {
	if err := alikeKnowledge(designs[0].Inputs, designs[1].Inputs, func(_, _ dist.Distribution) bool { return true }); err != nil {
		return nil, err
	}
	l, err := newLayers(ctx, []sim.Scenario{designs[lead], designs[1-lead]}, q, o)
	if err != nil {
		return nil, err
	}
	if err := l.extendAbout(ctx, o.Rows); err != nil {
		return nil, err
	}
	return l.change(lead, share, o)
}

// SameKnowledge compares what is not known in two sets of inputs, by name and distribution.
func SameKnowledge(a, b *sim.Inputs) error { return alikeKnowledge(a, b, sameQuantiles) }

func alikeKnowledge(a, b *sim.Inputs, same func(a, b dist.Distribution) bool) error {
	for _, pair := range [2][2]*sim.Inputs{{a, b}, {b, a}} {
		for _, v := range pair[0].Variables() {
			if !v.Knowledge {
				continue
			}
			at := variableAt(pair[1], v.Name)
			if at < 0 || !pair[1].Variables()[at].Knowledge || !same(v.Dist, pair[1].Variables()[at].Dist) {
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

// change reads the change of the probability from the surfaces of two designs: the one
// before the change stands at lead among the layers.
func (l *layers) change(lead int, share float64, o KnowledgeOptions) (*UnknownChange, error) {
	at := newReading(l.index, l.finer, o.Seed, o.Workers)
	var both [2]surface
	var misfit [2]float64
	for d := range both {
		e := l.seen[d]
		var err error
		if both[d], err = l.surface(e, at); err != nil {
			return nil, err
		}
		misfit[d], _ = at.misfit(both[d], e)
	}
	difference := func(coefficients func(surface) mat.Vector) []float64 {
		d := make([]float64, len(at.places))
		for i, z := range at.heights(both[lead], coefficients(both[lead]), misfit[lead]) {
			d[i] = -(1 + share) * dist.NormalCDF(z)
		}
		for i, z := range at.heights(both[1-lead], coefficients(both[1-lead]), misfit[1-lead]) {
			d[i] += dist.NormalCDF(z)
		}
		return d
	}
	all := difference(func(s surface) mat.Vector { return s.coefficients })
	numbers := []func(d []float64, n *narrowing) float64{
		func(d []float64, _ *narrowing) float64 { return floats.Dot(d, at.weight) },
		func(d []float64, n *narrowing) float64 { return n.quantile(d, at.weight, o.Confidence) },
	}
	without := at.withoutGroups(func(g int) []float64 { return difference(func(s surface) mat.Vector { return s.moved[g] }) }, numbers...)
	u := &UnknownChange{Evaluations: 2 * l.done}
	heaviest := []float64{l.heaviest(l.probabilities()), l.heaviest(l.atBound)}
	for k, e := range []*sim.Estimate{&u.Mean, &u.Upper} {
		value, half := numbers[k](all, newNarrowing()), Student(o.level())*jackknife(without[k])
		// Either design may exceed where no row did.
		below, above := withUnseen(half, (1+share)*heaviest[k], o.level()), withUnseen(half, heaviest[k], o.level())
		*e = sim.Estimate{
			Value: value, Interval: sim.Interval{Low: max(-1-share, value-below), High: min(1, value+above)}, N: l.done,
			Level: o.level(), Achieved: o.level(), Method: "surfaces of both designs over the unknown inputs, jackknife over rows",
		}
	}
	return u, nil
}
