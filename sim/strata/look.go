package strata

import (
	"context"

	"clampodds/sim"
)

// KnowledgeLook estimates how the probability that a row of a scenario exceeds a requirement is
// distributed over the variables marked Knowledge, all others varying: in several looks, each
// with more rows than the one before.
//
// Unknown inputs that do not matter near the limit, by a fit of the output on all
// inputs, are left out and averaged over. Of the others the rows of one stratified
// sample, those that exceed, tell how the probability depends on them: where they lie in
// the space of the unknown inputs, against how often a design lies there, which is
// known. A surface goes through the normal score of the probability (see basis and
// fit). Reading the surface costs nothing, so that the quantiles have next to no outer
// sampling noise. What it leaves out along each input is seen in the rows, and counted
// as further spread; what depends on two inputs at once in a way that the surface
// does not follow is not seen.
//
// Mixed is the estimate Σ W k/n of the same rows with its own interval; the intervals
// of the others come from the jackknife over 20 sets of the rows, Student's t on the
// normal score, and from the misfit of the surface.
//
// Sources: outer and inner layer, Der Kiureghian & Ditlevsen, Struct. Safety 31 (2009) 105;
// regression in place of brute force, Broadie, Du, Moallemi, Oper. Res. 63 (2015)
// 1083; the combination is our own, checked against closed forms and by repetition.
type KnowledgeLook struct {
	layers  *layers
	options KnowledgeOptions
}

// NewKnowledgeLook finds the direction and where the limit is. Rows of the options is not
// looked at. Errors: an invalid option, the Err variables of this package, the context's.
func NewKnowledgeLook(ctx context.Context, scenario sim.Scenario, q sim.Requirement, o KnowledgeOptions) (*KnowledgeLook, error) {
	l, err := newLayers(ctx, []sim.Scenario{scenario}, q, o)
	return &KnowledgeLook{l, o}, err
}

// Rows looks at about so many rows in all, besides those of the screen, and evaluates only those that
// are new. It returns to the last bit what it would without the looks before, if these were Rows too.
func (k *KnowledgeLook) Rows(ctx context.Context, about int64) (*Unknown, error) {
	if err := k.layers.extendAbout(ctx, about); err != nil {
		return nil, err
	}
	return k.layers.unknown(k.options)
}

// fewEffective is the effective number of rows below which single ones carry so much weight that they hide how the
// probability depends on what is not known; a look that meets no such rows has thousands.
const fewEffective = 1000

// Lighter looks again after Rows where single rows of much weight, off the direction, were seen: about so many
// more go where such may lie. It is ErrTooRare where there are none.
func (k *KnowledgeLook) Lighter(ctx context.Context, about int64) (*Unknown, error) {
	l := k.layers
	probability, effective := l.seen[0].total()
	if probability == 0 || effective >= fewEffective {
		return nil, ErrTooRare
	}
	share := l.shares(l.seen[0].counts(l.limit, len(l.strata)))
	if err := l.extend(ctx, l.spread(share, probability, about, nil)); err != nil {
		return nil, err
	}
	return l.unknown(k.options)
}

// Mean is the mean alone, for a limit that is exceeded far more rarely than its target: from rows
// of which none stands for more than heaviest, so that what is not seen is small, and a few
// thousand about the limit.
func (k *KnowledgeLook) Mean(ctx context.Context, heaviest float64) (sim.Estimate, error) {
	if err := k.layers.extend(ctx, k.layers.thinly(heaviest)); err != nil {
		return sim.Estimate{}, err
	}
	return k.layers.mean(k.options), nil
}

// meanRows is about how many rows tell a mean far below its target to a fifth.
const meanRows = 4000

// thinly puts as many rows as the weight of one asks for, and a few thousand where the limit is.
func (l *layers) thinly(heaviest float64) []int64 {
	share := smooth(l.strata, l.share)
	least := l.besides(allocate(l.strata, share, heaviest, 0))
	if expected(l.strata, share) == 0 {
		return least
	}
	return l.spread(share, heaviest, total(least)+meanRows, nil)
}

// mean is the probability by what was seen.
func (l *layers) mean(o KnowledgeOptions) sim.Estimate {
	return l.weighted(l.seen[0].counts(l.scenario.Requirements[0], len(l.strata)), o.level())
}
