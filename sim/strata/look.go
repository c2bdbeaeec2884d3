package strata

import (
	"context"

	"clampodds/sim"
)

// KnowledgeLook is Knowledge in several looks, each with more rows than the one before.
type KnowledgeLook struct {
	layers  *layers
	options KnowledgeOptions
}

// NewKnowledgeLook finds the direction and where the limit is. Rows of the options is not
// looked at. Errors are those of Knowledge.
func NewKnowledgeLook(ctx context.Context, scenario sim.Scenario, q sim.Requirement, o KnowledgeOptions) (*KnowledgeLook, error) {
	l, err := newLayers(ctx, []sim.Scenario{scenario}, q, o)
	return &KnowledgeLook{l, o}, err
}

// Rows returns what Knowledge does with about so many rows, to the last bits where no other
// look but Rows came before, and evaluates only those that are new.
func (k *KnowledgeLook) Rows(ctx context.Context, about int64) (*Unknown, error) {
	if err := k.layers.extendAbout(ctx, about); err != nil {
		return nil, err
	}
	return k.layers.unknown(k.options)
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
	return l.spread(share, heaviest, total(least)+meanRows)
}

// mean is the probability by what was seen.
func (l *layers) mean(o KnowledgeOptions) sim.Estimate {
	return l.weighted(l.seen[0].counts(l.scenario.Requirements[0], len(l.strata)), o.level())
}
