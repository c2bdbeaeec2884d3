package decide

import (
	"context"
	"errors"
	"math"

	"clampodds/sim"
	"clampodds/sim/strata"
)

// Policy says what must hold for a requirement to be met, where inputs are marked as
// lack of knowledge.
type Policy int

const (
	// Confident: the probability, averaged over everything, and its quantile at the
	// confidence over what is not known are at or below the target: "with 95 %
	// confidence at most 1 in 1000". The zero value.
	Confident Policy = iota
	// Predictive: the average alone. What is not known counts like scatter.
	Predictive
)

// Want says what would decide a verdict that is open.
type Want int

const (
	// Nothing: it is decided, or not asked.
	Nothing Want = iota
	// Cards: the noise of the sampling is in the way.
	Cards
	// Knowledge: what is not known is in the way: readings or a test would tell.
	Knowledge
)

// Record is the number of record of one requirement in one scenario: the one
// estimate on which every command decides. It depends on the scenario, the
// requirement, the seed, the confidence, the accuracy and the policy alone.
type Record struct {
	Requirement sim.Requirement
	// Mean is the probability that a card exceeds, averaged over everything, what is
	// not known included.
	Mean sim.Estimate
	// Unknown keeps apart what is not known; nil where nothing is marked so, under
	// Predictive, where the mean decides alone, or where the mean is too small for it.
	Unknown *strata.Unknown
	// Bound is the quantile, at the confidence over what is not known, of the
	// probability given it: Unknown.Upper, or what the mean allows at most (Markov's
	// inequality). It is the mean itself where nothing is marked as not known.
	Bound   sim.Estimate
	Verdict sim.Verdict
	// Sample is the second stage; nil where the first was enough, or the tail methods
	// served.
	Sample *strata.Result
	// Want and NeededRows say what would decide; NeededRows is 0 but for Cards.
	Want       Want
	NeededRows int64
}

// DefaultAccuracy is the half-width of the interval of a mean over the mean.
const DefaultAccuracy = 0.10

const (
	// fewestScreened and mostScreened bound the rows that all requirements share.
	fewestScreened = 4096
	mostScreened   = 1 << 17
	// leastByStrata is the least target that is judged by strata; below it the tail
	// methods serve.
	leastByStrata = 2e-5
	// mostRefined is the largest number of rows of one mean.
	mostRefined = 150_000
	// unknownRows is about the number of rows that keep apart what is not known.
	unknownRows = 40_000
	// leastKnowledge is the lowest confidence that lack of knowledge is stated with.
	leastKnowledge = 0.75
)

// Records judges every requirement of the scenarios, each of which has its own list:
// records[i][k] is that of requirement k in scenario i.
//
// Stage one draws single cards, the same for all scenarios. A requirement that is
// never exceeded there, and whose bound is small enough for its target, is met with
// that bound. Any other gets a second stage of rows of its own (package strata, for
// small targets package rare), of a size fixed from a pilot, to the accuracy. Either
// stage alone is wrong in at most (1 - confidence)/2 of seeds on the side that calls a
// requirement met, so the verdict is wrong in at most 1 - confidence, in either
// direction; both rates are measured by repetition in the tests.
//
// An error is that of a scenario, of the run or of the tail methods, or ErrStopped.
func (s *Setup) Records(ctx context.Context, scenarios []sim.Scenario) ([][]Record, error) {
	records, _, err := s.records(ctx, scenarios)
	return records, err
}

// records also returns what the first stage saw.
func (s *Setup) records(ctx context.Context, scenarios []sim.Scenario) ([][]Record, *sim.Result, error) {
	screened, err := s.screen(ctx, scenarios)
	if err != nil {
		return nil, nil, err
	}
	records := make([][]Record, len(scenarios))
	for i, scenario := range scenarios {
		records[i] = make([]Record, len(scenario.Requirements))
		for k, q := range scenario.Requirements {
			records[i][k], err = s.record(ctx, scenario, q, screened.Scenarios[i].Requirements[k].Exceeded.PerRow())
			if err != nil {
				return nil, nil, err
			}
		}
	}
	return records, screened, nil
}

// screen counts single cards, common to all scenarios.
func (s *Setup) screen(ctx context.Context, scenarios []sim.Scenario) (*sim.Result, error) {
	run := sim.Run{
		Sampler: sim.Random{}, Seed: s.Run.Seed, Workers: s.Run.Workers, Confidence: s.oneSided(),
		Samples: s.screenRows(scenarios), LimitsOnly: true, Progress: s.Run.Progress,
	}
	for _, scenario := range scenarios {
		single, err := scenario.Plan.Regrouped(1)
		if err != nil {
			return nil, err
		}
		scenario.Plan = single
		run.Scenarios = append(run.Scenarios, scenario)
	}
	return complete(ctx, &run)
}

// oneSided is the level of a one-sided bound of half the chance of error.
func (s *Setup) oneSided() float64 { return (1 + s.Run.Confidence) / 2 }

// screenRows is how many rows without an event show that the smallest target holds,
// within what all requirements may take together.
func (s *Setup) screenRows(scenarios []sim.Scenario) int64 {
	rows := float64(fewestScreened)
	for _, scenario := range scenarios {
		for _, q := range scenario.Requirements {
			if q.Target > 0 {
				rows = max(rows, math.Ceil(math.Log((1-s.Run.Confidence)/2)/math.Log1p(-q.Target*s.meanShare(scenario))))
			}
		}
	}
	return int64(min(rows, mostScreened))
}

// meanShare is how small the mean must be, as a share of the target, for the target
// to hold with the confidence whatever the unknown inputs are: Markov's inequality.
func (s *Setup) meanShare(scenario sim.Scenario) float64 {
	if s.apart(scenario) {
		return 1 - s.knowledgeConfidence()
	}
	return 1
}

// apart says whether lack of knowledge has a part in the verdict.
func (s *Setup) apart(scenario sim.Scenario) bool {
	if s.Policy == Predictive {
		return false
	}
	for _, v := range scenario.Plan.Variables() {
		if v.Knowledge {
			return true
		}
	}
	return false
}

func (s *Setup) knowledgeConfidence() float64 { return max(s.Run.Confidence, leastKnowledge) }

// record judges one requirement from what the screen saw of it.
func (s *Setup) record(ctx context.Context, scenario sim.Scenario, q sim.Requirement, screened sim.Estimate) (Record, error) {
	r := Record{Requirement: q, Mean: screened}
	if screened.Count > 0 || !(screened.High <= q.Target*s.meanShare(scenario)) {
		var err error
		if err = s.refine(ctx, scenario, &r); err != nil {
			return r, err
		}
	}
	r.Bound = r.Mean
	if s.apart(scenario) {
		if err := s.keepApart(ctx, scenario, &r); err != nil {
			return r, err
		}
	}
	r.judge()
	return r, nil
}

// refine is stage two.
func (s *Setup) refine(ctx context.Context, scenario sim.Scenario, r *Record) error {
	q := r.Requirement
	if q.Target > 0 && q.Target < leastByStrata {
		found, err := s.tail(scenario, q, s.Run.Confidence)
		r.Mean = found.Estimate
		return err
	}
	found, err := strata.Estimate(ctx, scenario, q, strata.Options{
		Relative: s.accuracy(), Most: mostRefined, Confidence: s.Run.Confidence,
		Seed: s.Run.Seed, Workers: s.Run.Workers,
	})
	if err != nil {
		return stopped(ctx, err)
	}
	r.Sample, r.Mean = found, found.Estimate
	return nil
}

func (s *Setup) accuracy() float64 {
	if s.Accuracy > 0 {
		return s.Accuracy
	}
	return DefaultAccuracy
}

// keepApart bounds the probability with the confidence over what is not known.
func (s *Setup) keepApart(ctx context.Context, scenario sim.Scenario, r *Record) error {
	r.Bound = markov(r.Mean, 1-s.knowledgeConfidence())
	if q := r.Requirement; r.Mean.Count == 0 || r.Bound.High <= q.Target || q.Target > 0 && r.Mean.Low > q.Target {
		return nil
	}
	u, err := strata.Knowledge(ctx, scenario, r.Requirement, strata.KnowledgeOptions{
		Rows: unknownRows, Confidence: s.knowledgeConfidence(), Seed: s.Run.Seed, Workers: s.Run.Workers,
	})
	switch {
	case errors.Is(err, strata.ErrNoKnowledge):
		r.Bound = r.Mean
		return nil
	case errors.Is(err, strata.ErrTooRare), errors.Is(err, strata.ErrMixedSets), errors.Is(err, strata.ErrOnlyKnowledge):
		return nil // Markov's bound stands
	case err != nil:
		return stopped(ctx, err)
	}
	r.Unknown, r.Bound = u, u.Upper
	return nil
}

// markov bounds the quantile of a probability over what is not known, above which it
// lies with a chance, by its mean: at most mean/chance (Markov's inequality).
func markov(mean sim.Estimate, chance float64) sim.Estimate {
	b := mean
	b.Value, b.Low, b.High = min(1, mean.Value/chance), 0, min(1, mean.High/chance)
	b.Method = "Markov's inequality on the mean"
	return b
}

func (r *Record) judge() {
	target := r.Requirement.Target
	r.Verdict, r.Want = Judge(target, r.Mean, r.Bound)
	if r.Want == Cards {
		_, r.NeededRows = judgeBounds(r.Mean.Value, r.Mean.Low, r.Mean.High, target, r.Mean.N)
	}
}

// Judge is where a verdict on a target is made: from the mean of a probability over
// everything and from its bound, the quantile over what is not known, each with the
// interval of its computation. Where nothing is marked as not known, or the mean alone
// decides, the bound is the mean. An undecided verdict comes with what would decide it.
func Judge(target float64, mean, bound sim.Estimate) (sim.Verdict, Want) {
	switch {
	case target == 0:
		return sim.NoTarget, Nothing
	case mean.High <= target && bound.High <= target:
		return sim.Met, Nothing
	case mean.Low > target:
		return sim.NotMet, Nothing
	case bound.Low > target:
		return sim.Undecided, Knowledge
	}
	return sim.Undecided, Cards
}
