package decide

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
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
	// Predictive, where the mean decides alone, or where it is too small for it.
	Unknown *strata.Unknown
	// Bound is the quantile, at the confidence over what is not known, of the
	// probability given it: Unknown.Upper, or what the mean allows at most. It is the mean itself where nothing is marked as not known.
	Bound   sim.Estimate
	Verdict sim.Verdict
	// Want says what would decide.
	Want Want
}

const (
	// fewestScreened and mostScreened bound the rows of a scenario that all its requirements share.
	fewestScreened = 4096
	mostScreened   = 1 << 17
	// fewestApart is the least number where something is not known: what looks closer starts from there.
	fewestApart = 1 << 15
	// unseenShare is what one row may stand for, over the largest mean that shows a target met whatever
	// is not known.
	unseenShare = 1.0 / 6
	// leastByStrata is the least target that is judged by strata; below it the tail
	// methods serve.
	leastByStrata = 2e-5
	// mostRefined is the largest number of rows of one mean, at DefaultAccuracy.
	mostRefined = 150_000
	// unknownRows is about the number of rows of the first look at what is not known,
	// and manyUnknownRows of the second, where the first leaves it open and at DefaultAccuracy, each
	// besides those of the screen.
	unknownRows, manyUnknownRows = 20_000, 60_000
	// LeastKnowledge is the lowest confidence that lack of knowledge is stated with.
	LeastKnowledge = 0.75
)

// Record judges requirement k of a scenario, as it is judged among others.
func (s *Setup) Record(ctx context.Context, scenario sim.Scenario, k int) (Record, error) {
	screens, err := s.screen(ctx, []sim.Scenario{scenario})
	if err != nil {
		return Record{}, err
	}
	return s.recordOn(ctx, scenario, k, screens[0])
}

// recordOn is Record with the scenario's screen drawn already.
func (s *Setup) recordOn(ctx context.Context, scenario sim.Scenario, k int, screen *strata.Screen) (Record, error) {
	r := s.seen(scenario, k, screen)
	if r.Verdict != sim.Undecided {
		return r, nil
	}
	err := s.record(ctx, scenario, &r, screen)
	return r, err
}

// closer does a task for each place, several side by side: much of a record is work
// that rows do not share.
func (s *Setup) closer(ctx context.Context, open []Place, task func(at Place) error) error {
	tell := batch.Tally(func(done int64) { s.progress(done, int64(len(open))*unknownRows) })
	return s.concurrently(ctx, len(open), func(i int) error {
		defer tell(unknownRows)
		return task(open[i])
	})
}

// bound is that of the mean alone, where something may be kept apart.
func (s *Setup) bound(unknown bool, mean sim.Estimate, target float64, scenario sim.Scenario) sim.Estimate {
	if unknown {
		return s.atMost(mean, target, scenario)
	}
	return mean
}

// progress tells how far the work is, in rows.
func (s *Setup) progress(done, total int64) {
	if s.Run.Progress != nil {
		s.Run.Progress(done, total)
	}
}

// oneSided is the level of a one-sided bound of half the chance of error.
func (s *Setup) oneSided() float64 { return (1 + s.Run.Confidence) / 2 }

// meanShare is how small the mean must be, as a share of the target, for the target
// to hold with the confidence whatever the unknown inputs are.
func (s *Setup) meanShare(scenario sim.Scenario, target float64) float64 {
	if s.knowledgeCounts(scenario) {
		return 1 / s.overMean(target, scenario)
	}
	return 1
}

// overMean is the function of that name, where nothing that is not known of the scenarios leaps; else Markov's inequality alone holds.
func (s *Setup) overMean(q float64, of ...sim.Scenario) float64 {
	if slices.ContainsFunc(of, leaps) {
		return markov(s.knowledgeConfidence())
	}
	return overMean(q, s.knowledgeConfidence())
}

// leaps says that something not known lies in parts with next to nothing between them, such as one coat or another: over a tenth of a
// standard score it moves by more than leap of its way from -3 to 3.
func leaps(scenario sim.Scenario) bool {
	const leap = 0.15 // normal 0.02, lognormal 0.1 for a deviation of 1 in the logarithm
	for _, v := range scenario.Inputs.Variables() {
		if !v.Knowledge {
			continue
		}
		x := make([]float64, 61)
		floats.Span(x, -3, 3)
		dist.FromNormalScores(v.Dist, x)
		for i := range x[1:] {
			if x[i+1]-x[i] > leap*(x[60]-x[0]) {
				return true
			}
		}
	}
	return false
}

// markov is how many times its mean what is not below 0 may be at its quantile.
func markov(confidence float64) float64 { return 1 / (1 - confidence) }

// overMean is how many times its mean a probability over what is not known may be at its
// quantile, at most, when that quantile is q. Where its normal score varies like a normal
// variable, the ratio is largest with a standard deviation of z/b, b = -Φ⁻¹(q) and z the
// normal score of the confidence:
//
//	q / Φ(-sqrt(b² + z²)),
//
// 4.3 for q = 1e-3 and 95 %. Twice that is allowed for, since the score bends; more than
// 1/(1 - confidence) cannot be (Markov's inequality).
func overMean(q, confidence float64) float64 {
	const allowance = 2
	largest := markov(confidence)
	if !(q > 0 && q < 0.5) {
		return largest
	}
	least := dist.NormalSurvival(math.Hypot(dist.NormalQuantile(q), dist.NormalQuantile(confidence)))
	return min(largest, allowance*q/least)
}

// knowledgeCounts says whether lack of knowledge has a part in the verdict.
func (s *Setup) knowledgeCounts(scenario sim.Scenario) bool {
	if s.Policy == Predictive {
		return false
	}
	for _, v := range scenario.Inputs.Variables() {
		if v.Knowledge {
			return true
		}
	}
	return false
}

func (s *Setup) knowledgeConfidence() float64 { return max(s.Run.Confidence, LeastKnowledge) }

// record looks closer at a requirement that the screen left open.
func (s *Setup) record(ctx context.Context, scenario sim.Scenario, r *Record, screen *strata.Screen) error {
	unknown := s.knowledgeCounts(scenario)
	if unknown && !belowStrata(r.Requirement) {
		err := s.keepApart(ctx, scenario, r, s.part(screen, scenario, r.Requirement))
		if errors.Is(err, strata.ErrNoKnowledge) { // what is not known does not move it: the mean alone decides
			unknown = false
		} else if err != nil {
			return stopped(ctx, err)
		}
		if r.decided() {
			return nil
		}
		if shown, err := s.shownByTail(scenario, r); shown || err != nil || r.Unknown != nil {
			return err
		}
	}
	if err := s.refine(ctx, scenario, r); err != nil {
		return err
	}
	r.Bound = s.bound(unknown, r.Mean, r.Requirement.Target, scenario)
	r.judge()
	return nil
}

// farBelow is the largest mean, over its target, that the tail methods show to be met where rows leave it open.
const farBelow = 0.1

// shownByTail judges by the tail methods a mean that is far below its target, but too rare for what is not
// known to be kept apart closely, and for so many rows to bound what none of them shows. It changes the record
// only where that shows the target met, and agrees with what the rows showed.
func (s *Setup) shownByTail(scenario sim.Scenario, r *Record) (bool, error) {
	target := r.Requirement.Target
	if r.Mean.Low > farBelow*target {
		return false, nil
	}
	found, err := s.tail(scenario, r.Requirement, s.oneSided())
	if err != nil || found.Value == 0 || !found.established() || found.Value > farBelow*target || found.High < r.Mean.Low {
		return false, err
	}
	shown := Record{Requirement: r.Requirement, Mean: found.Estimate, Bound: s.atMost(found.Estimate, target, scenario)}
	if shown.judge(); shown.Verdict != sim.Met {
		return false, nil
	}
	*r = shown
	return true, nil
}

// belowStrata says that the tail methods serve.
func belowStrata(q sim.Requirement) bool { return q.Target > 0 && q.Target < leastByStrata }

// decided says that more rows would not change the verdict.
func (r *Record) decided() bool { return r.Verdict != sim.Undecided || r.Want == Knowledge }

// refine is stage two.
func (s *Setup) refine(ctx context.Context, scenario sim.Scenario, r *Record) error {
	q := r.Requirement
	if belowStrata(q) {
		found, err := s.tail(scenario, q, s.Run.Confidence)
		if !found.established() {
			found.High = min(found.High, r.Mean.High) // what the screen showed stands
		}
		r.Mean = found.Estimate
		return err
	}
	found, err := strata.Estimate(ctx, scenario, q, strata.Options{
		Relative: s.accuracy(), Most: s.atAccuracy(mostRefined), Confidence: s.Run.Confidence,
		Seed: s.Run.Seed, Workers: s.Run.Workers,
	})
	if err != nil {
		return stopped(ctx, err)
	}
	r.Mean = found.Estimate
	return nil
}

// keepApart finds mean and bound from one sample of rows, and where that leaves it open from
// more. A mean that seems far below its target is looked at alone first, and stands where it
// shows the target met whatever is not known. Where that cannot be, the record stays as it was;
// strata.ErrNoKnowledge says that there is nothing to keep apart.
func (s *Setup) keepApart(ctx context.Context, scenario sim.Scenario, r *Record, screen *strata.Screen) error {
	look, err := strata.NewKnowledgeLook(ctx, scenario, r.Requirement, strata.KnowledgeOptions{
		Screen: screen, Bound: true, Confidence: s.knowledgeConfidence(), Level: s.oneSided(), Seed: s.Run.Seed, Workers: s.Run.Workers,
	})
	if errors.Is(err, strata.ErrMixedSets) || errors.Is(err, strata.ErrOnlyKnowledge) {
		return nil
	}
	if err != nil {
		return err
	}
	looks, target := []int64{unknownRows, s.atAccuracy(manyUnknownRows)}, r.Requirement.Target
	if r.Bound.Value <= target && !s.verdictAlone {
		looks = looks[1:]
		if shown, err := s.meanAlone(ctx, look, scenario, r); shown || err != nil {
			return err
		}
	}
	for _, rows := range looks {
		if err := r.keep(look.Rows(ctx, rows)); err != nil || r.Unknown != nil && r.decided() {
			return err
		}
	}
	return r.keep(look.Lighter(ctx, s.atAccuracy(manyUnknownRows)))
}

// keep takes over what a look says, unless more rows may say it.
func (r *Record) keep(u *strata.Unknown, err error) error {
	if errors.Is(err, strata.ErrTooRare) {
		return nil
	}
	if err == nil {
		r.Unknown, r.Mean, r.Bound = u, u.Mixed, u.Upper
		r.judge()
	}
	return err
}

// meanAlone judges by the mean alone, where it shows that the target is met and does not take too many rows.
func (s *Setup) meanAlone(ctx context.Context, look *strata.KnowledgeLook, scenario sim.Scenario, r *Record) (bool, error) {
	target := r.Requirement.Target
	heaviest := unseenShare * target * s.meanShare(scenario, target)
	if heaviest*mostRefined < 1 {
		return false, nil
	}
	mean, err := look.Mean(ctx, heaviest)
	if err != nil {
		return false, err
	}
	bound := s.atMost(mean, target, scenario)
	if bound.High > target {
		return false, nil
	}
	r.Mean, r.Bound = mean, bound
	r.judge()
	return true, nil
}

// atMost bounds the quantile of a probability over what is not known of some scenarios by its mean.
func (s *Setup) atMost(mean sim.Estimate, target float64, of ...sim.Scenario) sim.Estimate {
	b, times := mean, s.overMean(target, of...)
	b.Value, b.Low, b.High = min(1, mean.Value*times), 0, min(1, mean.High*times)
	b.Method = fmt.Sprintf("%.3g times the mean", times)
	return b
}

// overTarget is the mean, as a multiple of the target.
func (r Record) overTarget() float64 { return r.Mean.Value / r.Requirement.Target }

func (r *Record) judge() {
	r.Verdict, r.Want = Judge(r.Requirement.Target, r.Mean, r.Bound)
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
