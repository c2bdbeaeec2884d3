package strata

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"clampodds/sim"
)

const (
	// rowGroups is the number of sets of rows, each a complete stratified sample,
	// and pointGroups that of sets of points, whose scatter gives the intervals.
	rowGroups   = 20
	pointGroups = 10
	// fewestPoints and pointsPerTerm give the number of points in the space of
	// the unknown inputs, for the terms of the surface that goes through them.
	fewestPoints  = 48
	pointsPerTerm = 3
	// fewestGroupRows is the least number of rows of a set.
	fewestGroupRows = 40
	// readingsPerInput and mostReadings give the number of points, evenly laid, at
	// which the surface is read.
	readingsPerInput = 1024
	mostReadings     = 8192
	// farFromSurface is the share of the spread of the surface, as standard
	// deviations of normal scores, beyond which its misfit is warned of.
	farFromSurface = 0.2
)

// Errors of Knowledge.
var (
	ErrNoKnowledge   = errors.New("no input is marked as lack of knowledge, or none of those matters")
	ErrOnlyKnowledge = errors.New("no input varies besides those marked as lack of knowledge: nothing but them decides whether the limit is exceeded")
	ErrMixedSets     = errors.New("an input marked as lack of knowledge is correlated with one that varies: they cannot be kept apart")
	// ErrTooRare: the limit is exceeded too rarely, or the rows are too few, to
	// see how the probability depends on what is not known.
	ErrTooRare = errors.New("exceeded too rarely to see how it depends on what is not known")
)

// SurfaceMisfit warns that the probability depends on the unknown inputs in a way
// that the surface does not follow; the misfit is counted as spread.
const SurfaceMisfit sim.WarningCode = "surface-misfit"

// KnowledgeOptions steers Knowledge.
type KnowledgeOptions struct {
	// Rows is about how many rows are evaluated; fewer than some 20 000 give wide
	// intervals.
	Rows int64
	// Confidence is both the probability of the upper quantile over what is not
	// known and the level of the intervals, in (1/2, 1).
	Confidence float64
	Seed       uint64
	// Workers is the number of goroutines, 0 for one per processor. Results do
	// not depend on it.
	Workers int
}

// Unknown is an exceedance probability with lack of knowledge kept apart from
// variation: a probability for every state of the inputs that are not known.
type Unknown struct {
	// Mixed is its mean over those inputs, the probability of one card when both
	// kinds of input are drawn alike; Median its median. Upper is its quantile of
	// probability Confidence: the true probability is below it, so far as the
	// distributions of the unknown inputs are right, with that confidence. The
	// intervals are those of the computation; Upper.High adds the noise of the
	// computation to the statement.
	Mixed, Median, Upper sim.Estimate
	// Inputs are the names of the variables that are not known.
	Inputs []string
	// Points in their space, each with Rows rows, the same for all points.
	Points, Rows int
	// Evaluations is the number of rows evaluated, small samples included.
	Evaluations int64
	// Spread and Misfit are standard deviations of the normal score of the
	// probability: of the surface over the unknown inputs, and of the points about
	// it, the noise of the rows taken off.
	Spread, Misfit float64
	Warnings       []sim.Warning
}

// Knowledge estimates how the probability that a row of the scenario exceeds q is
// distributed over the variables marked Knowledge, all others varying.
//
// Unknown inputs that do not matter near the limit, by a fit of the output on all
// inputs, are left out and averaged over. Of the others
// it takes one stratified sample of the varying inputs, evaluates it at each of
// some points in the space of the unknown ones, and lays a surface through the
// normal scores of the probabilities: products of the unknown inputs' normal
// scores up to second order, and third powers. What the points differ from the
// surface beyond the noise of the rows, seen by comparing the two halves of the
// rows, is counted as further spread. Reading the surface costs nothing, so that the
// quantiles have next to no outer sampling noise; using the same rows at all points
// keeps their noise from passing for spread. Intervals come from the jackknife
// over 20 complete sets of rows and, for the misfit of the surface, over 10 sets
// of points, Student's t on the logarithm.
//
// Sources: outer and inner layer, Der Kiureghian & Ditlevsen, Struct. Safety 31 (2009) 105;
// regression in place of brute force, Broadie, Du, Moallemi, Oper. Res. 63 (2015)
// 1083; two halves, Sun, Apley, Staum, Oper. Res. 59 (2011) 998; the combination
// is our own, checked against a closed form and by repetition.
//
// Errors: an invalid option, the Err variables of this package, the context's.
func Knowledge(ctx context.Context, scenario sim.Scenario, q sim.Requirement, o KnowledgeOptions) (*Unknown, error) {
	if !(o.Confidence > 0.5 && o.Confidence < 1) {
		return nil, fmt.Errorf("confidence: %v, must be above 1/2 and below 1", o.Confidence)
	}
	in, probabilities, b, err := layers(ctx, []sim.Scenario{scenario}, q, o)
	if err != nil {
		return nil, err
	}
	u, err := b.estimate(in.scores, probabilities[0], o)
	if err != nil {
		return nil, err
	}
	u.Inputs, u.Points, u.Rows, u.Evaluations = in.names(), in.points(), in.rows(), in.evaluations()
	return u, nil
}

// layers evaluates the rows of designs, the first of which leads the way to the
// limit, at all points in the space of what is not known.
func layers(ctx context.Context, designs []sim.Scenario, q sim.Requirement, o KnowledgeOptions) (*inner, [][][]float64, basis, error) {
	known, unknown, err := split(designs[0].Plan)
	if err != nil {
		return nil, nil, basis{}, err
	}
	s, err := newSample(ctx, designs[0], q, Options{Relative: 0.1, Most: o.Rows, Confidence: o.Confidence, Seed: o.Seed, Workers: o.Workers})
	if err != nil {
		return nil, nil, basis{}, err
	}
	// An unknown input without a share in the direction moves the probability by less than
	// can be seen: it is averaged over with what varies.
	unknown = slices.DeleteFunc(unknown, func(v int) bool { return !slices.Contains(s.direction.variable, v) })
	if len(unknown) == 0 {
		return nil, nil, basis{}, ErrNoKnowledge
	}
	b := basis{s.direction.restricted(unknown).weight}
	s.direction = s.direction.restricted(known)
	s.cut()
	if len(designs) > 1 {
		if s.partner, err = newPartner(designs[1], q, len(s.strata)); err != nil {
			return nil, nil, basis{}, err
		}
	}
	in, err := newInner(s, unknown, b)
	if err != nil {
		return nil, nil, basis{}, err
	}
	probabilities, err := in.evaluate(ctx, q)
	return in, probabilities, b, err
}

// split lists the variables that vary and those that are not known.
func split(plan *sim.Plan) (known, unknown []int, err error) {
	for i, v := range plan.Variables() {
		if v.Knowledge {
			unknown = append(unknown, i)
		} else {
			known = append(known, i)
		}
	}
	switch {
	case len(unknown) == 0:
		return nil, nil, ErrNoKnowledge
	case len(known) == 0:
		return nil, nil, ErrOnlyKnowledge
	}
	for _, set := range plan.CorrelatedSets() {
		first := plan.Variables()[set[0]].Knowledge
		if slices.ContainsFunc(set, func(i int) bool { return plan.Variables()[i].Knowledge != first }) {
			return nil, nil, ErrMixedSets
		}
	}
	return known, unknown, nil
}
