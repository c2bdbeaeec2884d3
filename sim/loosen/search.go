package loosen

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"

	"clampodds/sim"
	"clampodds/sim/interval"
)

// ErrStopped is returned when the context ends a search early.
var ErrStopped = errors.New("stopped before the end of the search")

// Search moves the tolerances of one design. Its methods may not be called
// concurrently.
type Search struct {
	run  sim.Run
	base Point
	// lowerLevel is the one-sided confidence of each requirement's lower bound.
	lowerLevel float64
	// provable says of each requirement whether the samples can show it to be met.
	provable    []bool
	evaluations int
}

// New evaluates the design as it is. run has one scenario; of its requirements
// only those with a target count.
//
// A target so strict that not a single exceedance in all samples would show it
// to be met is not provable: such a requirement ends a window where it is seen to
// be missed, but does not keep a position from being proven. Its own verdict
// stays open; ask for more samples or a rare-event method.
//
// Progress, Draws and Differences are left aside. Errors are those of the run,
// ErrStopped, and a run without a provable requirement.
func New(ctx context.Context, run sim.Run) (*Search, error) {
	if len(run.Scenarios) != 1 {
		return nil, fmt.Errorf("%d scenarios, must be one", len(run.Scenarios))
	}
	base := run.Scenarios[0]
	base.Requirements = nil
	for _, q := range run.Scenarios[0].Requirements {
		if q.Target > 0 {
			base.Requirements = append(base.Requirements, q)
		}
	}
	if len(base.Requirements) == 0 {
		return nil, errors.New("no requirement has a target")
	}
	run.Scenarios, run.Progress, run.Draws, run.Differences = []sim.Scenario{base}, nil, nil, nil
	run.LimitsOnly = true
	s := &Search{run: run}
	result, err := s.execute(ctx, run.Seed, []sim.Scenario{base})
	if err != nil {
		return nil, err
	}
	s.lowerLevel = 1 - (1-run.Confidence)/2/float64(len(base.Requirements))
	least := math.Inf(1)
	for _, q := range base.Requirements {
		needed := interval.ZeroEventSize(q.Target, run.Confidence) * int64(base.Plan.RowsPerGroup())
		s.provable = append(s.provable, run.Samples >= needed)
		least = math.Min(least, float64(needed))
	}
	if float64(run.Samples) < least {
		return nil, fmt.Errorf("%d samples cannot show any target to be met; the largest needs %.0f", run.Samples, least)
	}
	s.base = s.point(result.Scenarios[0])
	return s, nil
}

// Base is the design as it is.
func (s *Search) Base() Point { return s.base }

// Requirements are those that count, in the order of Point.Exceeded.
func (s *Search) Requirements() []sim.Requirement { return s.run.Scenarios[0].Requirements }

// Plan is that of the design as it is.
func (s *Search) Plan() *sim.Plan { return s.run.Scenarios[0].Plan }

// Run is the run that every evaluation repeats, with the design as it is.
func (s *Search) Run() sim.Run { return s.run }

// Provable says whether the samples can show a requirement to be met.
func (s *Search) Provable(requirement int) bool { return s.provable[requirement] }

// Evaluations is the number of designs evaluated so far, each on all samples.
func (s *Search) Evaluations() int { return s.evaluations }

// Point is a design with what it does to the requirements.
type Point struct {
	// At is the position on the axis of a Move.
	At float64
	// Exceeded are the estimates of the probability for one row, by requirement.
	Exceeded []sim.Estimate
	// First is the requirement nearest to its target, or farthest above it.
	First int

	scores [curves]float64
}

// The curves that are followed along an axis. Each is the largest ratio over
// the requirements of a probability to its target; a design is inside where it
// is at most 1.
const (
	proven   = iota // upper bounds
	estimate        // estimates
	possible        // lower bounds
	curves
)

// Verdict is Met when every provable requirement is shown to be met and none of
// the others is seen missed, NotMet when one is shown not to be met, Undecided
// otherwise.
func (p Point) Verdict() sim.Verdict {
	switch {
	case p.inside(proven):
		return sim.Met
	case !p.inside(possible):
		return sim.NotMet
	}
	return sim.Undecided
}

func (p Point) inside(curve int) bool { return p.scores[curve] <= 1 }

// Needed returns the number of rows that would decide the verdict at the rates
// observed, as sim.Estimate.Needed: where the estimates meet all targets, what
// the slowest requirement takes, otherwise what the quickest one above its
// target does.
func (s *Search) Needed(p Point) int64 {
	if p.Verdict() != sim.Undecided {
		return 0
	}
	slowest, quickest := int64(0), int64(math.MaxInt64)
	for q, e := range p.Exceeded {
		target := s.Requirements()[q].Target
		if !s.provable[q] && e.Value <= target {
			continue
		}
		if needed := e.Needed(target); e.Value > target {
			quickest = min(quickest, needed)
		} else {
			slowest = max(slowest, needed)
		}
	}
	if p.inside(estimate) {
		return slowest
	}
	return quickest
}

// measure evaluates scenarios on common draws.
func (s *Search) measure(ctx context.Context, seed uint64, scenarios []sim.Scenario) ([]Point, error) {
	result, err := s.execute(ctx, seed, scenarios)
	if err != nil {
		return nil, err
	}
	var points []Point
	for _, scenario := range result.Scenarios {
		points = append(points, s.point(scenario))
	}
	return points, nil
}

// execute runs scenarios on common draws.
func (s *Search) execute(ctx context.Context, seed uint64, scenarios []sim.Scenario) (*sim.Result, error) {
	run := s.run
	run.Seed, run.Scenarios = seed, nil
	for _, scenario := range scenarios {
		run.Scenarios = append(run.Scenarios, judge(scenario))
	}
	result, err := run.Execute(ctx)
	if err != nil {
		return nil, err
	}
	if !result.Complete {
		return nil, ErrStopped
	}
	s.evaluations += len(scenarios)
	return result, nil
}

// point holds the requirements of a scenario against their targets.
func (s *Search) point(r sim.ScenarioResult) Point {
	var p Point
	var nearest [curves]float64
	for i, q := range r.Requirements {
		e, target := q.Exceeded.PerRow(), q.Requirement.Target
		ratio := [curves]float64{proven: e.High / target, estimate: e.Value / target, possible: s.lowerBound(e) / target}
		if !s.provable[i] {
			ratio[proven] = ratio[estimate]
		}
		if cmp.Or(cmp.Compare(ratio[estimate], nearest[estimate]), cmp.Compare(ratio[proven], nearest[proven])) > 0 {
			p.First, nearest = i, ratio
		}
		for c := range curves {
			p.scores[c] = math.Max(p.scores[c], ratio[c])
		}
		p.Exceeded = append(p.Exceeded, e)
	}
	return p
}

// lowerBound is the lower end of the interval at the confidence that all
// requirements have together.
func (s *Search) lowerBound(e sim.Estimate) float64 {
	return interval.ClopperPearsonLower(math.Min(e.Value*e.EffectiveN, e.EffectiveN), e.EffectiveN, s.lowerLevel)
}
