package strata

import (
	"context"
	"fmt"
	"slices"

	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/interval"
)

const (
	// profileRows is drawn in each stratum to see where the limit is.
	profileRows = 256
	// mostLooks is the number of times that the width is looked at.
	mostLooks = 4
	// aim is the part of the half-width that the rows are planned for, so that
	// one look is mostly enough.
	aim = 0.97
	// unseenRows is the number of rows when the profile shows no event.
	unseenRows = 100_000
	// heavyShare is the share of the estimate that one event may carry.
	heavyShare = 0.1
)

// WeightsCollapsed warns that single events carry much of the estimate: the
// direction missed where the limit is exceeded. The interval allows for it.
const WeightsCollapsed sim.WarningCode = "weights-collapsed"

// Options steers Estimate.
type Options struct {
	// Relative is the half-width wanted, (High-Low)/2 over Value, above 0 and
	// below 1.
	Relative float64
	// Most is the largest number of rows in all. The small samples and a few rows
	// in each stratum are drawn in any case.
	Most int64
	// Pilot, if above 0, is the number of rows about the limit that are drawn, and no more, where the half-width
	// takes more than ten times Most by what they show.
	Pilot int64
	// Confidence is the level of the interval, in (0, 1).
	Confidence float64
	Seed       uint64
	// Workers is the number of goroutines, 0 for one per processor. Results do
	// not depend on it.
	Workers int
	// Progress, if set, is told the number of rows done and planned.
	Progress func(done, total int64)
}

// Result is an exceedance probability with what it rests on.
type Result struct {
	Estimate sim.Estimate
	// Reached says that the half-width is there; Width is what it is, over the
	// probability. Needed is the number of rows in all that would do, as far as
	// is known: 0 when reached, math.MaxInt64 when nothing was seen.
	Reached bool
	Width   float64
	Needed  int64
	// Rows is the number of rows evaluated, small samples included; Looks how
	// often the width was looked at.
	Rows  int64
	Looks int
	// GaveUp says that no more than a pilot was drawn.
	GaveUp bool
}

// Estimate estimates how often a row of the scenario exceeds q. The size is
// planned from small samples of its own, which are not counted. Should the
// half-width be missed, it is looked at and rows are added up to three times; what
// stopping on a width costs in coverage is of the order of one over the number
// of events, far below what the interval has in hand (both are tested by
// repetition). The verdict on the requirement plays no part in it.
//
// The result depends on the scenario, q, Relative, Most, Confidence and Seed
// alone. Errors: those of an invalid requirement or option, sim.ErrNoRandomInput,
// the context's, and a NaN output.
func Estimate(ctx context.Context, scenario sim.Scenario, q sim.Requirement, o Options) (*Result, error) {
	if !(o.Relative > 0 && o.Relative < 1) {
		return nil, fmt.Errorf("relative half-width: %v, must be above 0 and below 1", o.Relative)
	}
	s, err := newSample(ctx, scenario, q, nil, o)
	if err != nil {
		return nil, err
	}
	share, err := s.profile()
	if err != nil {
		return nil, err
	}
	r := &Result{}
	for capped := false; ; {
		r.Looks++
		var extra []int64
		extra, capped = s.more(share)
		if err := s.draw(fmt.Sprint("strata/", r.Looks), extra); err != nil {
			return nil, err
		}
		r.Estimate = s.estimate()
		r.Width = (r.Estimate.High - r.Estimate.Low) / 2 / r.Estimate.Value
		r.Reached = r.Width <= o.Relative
		if r.Reached || capped || r.Looks == mostLooks || r.Estimate.Count == 0 || s.tooMany(s.needed()) {
			break
		}
		share = s.shares(s.exceeding)
	}
	if !r.Reached {
		r.Needed = s.needed()
		r.GaveUp = s.tooMany(r.Needed)
	}
	r.Rows = s.done
	return r, nil
}

// sample is the estimate under way.
type sample struct {
	Options
	ctx       context.Context
	scenario  sim.Scenario // of single rows, q its one requirement
	direction direction
	cells     cells
	drawn
	// exceeding counts by stratum; done counts all rows evaluated.
	exceeding []int64
	done      int64
	*partner          // where two designs are compared
	screen    *Screen // of this requirement alone, if there is one
}

// drawn is how many rows were drawn in each stratum.
type drawn struct {
	strata []stratum
	rows   []int64
}

// probabilities are those of the strata.
func (d drawn) probabilities() []float64 {
	p := make([]float64, len(d.strata))
	for h, s := range d.strata {
		p[h] = s.probability
	}
	return p
}

// newSample finds the direction; screen may be nil.
func newSample(ctx context.Context, scenario sim.Scenario, q sim.Requirement, screen *Screen, o Options) (*sample, error) {
	if len(scenario.Inputs.Variables()) == 0 {
		return nil, sim.ErrNoRandomInput
	}
	scenario = scenario.Only(q.Output)
	single := scenario.Inputs.Single()
	if screen != nil {
		screen = screen.only(slices.Index(scenario.Requirements, q))
	}
	output := outputAt(scenario.Model, q.Output)
	if output < 0 {
		return nil, fmt.Errorf("requirement %q: no output %q", q.Name, q.Output)
	}
	find := search{
		inputs: single, model: scenario.Model, output: output, limit: q.Limit, below: q.Below, seed: o.Seed, workers: o.Workers,
		rows: pilotRows(single),
	}
	s := &sample{Options: o, ctx: ctx, screen: screen}
	s.direction, s.done = find.find(screen)
	s.cells = cellsOf(single)
	s.direction = s.cells.without(s.direction)
	s.scenario = sim.Scenario{Name: scenario.Name, Inputs: single, Model: scenario.Model, Requirements: []sim.Requirement{q}}
	s.cut()
	return s, nil
}

func outputAt(model sim.Model, name string) int {
	return slices.IndexFunc(model.Outputs(), func(o sim.Output) bool { return o.Name == name })
}

// cut slices the space across the direction.
func (s *sample) cut() {
	var cuts []float64
	if len(s.direction.variable) > 0 {
		for cut := 0.0; cut <= farthest; cut += 0.5 {
			cuts = append(cuts, cut)
		}
	}
	s.strata = s.cells.across(slice(cuts))
	s.rows, s.exceeding = make([]int64, len(s.strata)), make([]int64, len(s.strata))
}

func (s *sample) randomInputs() *sim.Inputs { return s.scenario.Inputs }

// profile returns the share of exceeding rows of each stratum in a small sample.
func (s *sample) profile() ([]float64, error) {
	rows := make([]int64, len(s.strata))
	for h := range rows {
		rows[h] = profileRows
	}
	if err := s.draw("strata/profile", rows); err != nil {
		return nil, err
	}
	share := s.shares(s.exceeding)
	s.forget()
	return share, nil
}

// forget starts counting anew.
func (s *sample) forget() {
	clear(s.rows)
	clear(s.exceeding)
	if s.partner != nil {
		s.partner.forget()
	}
}

// shares are those of the rows of each stratum that were counted.
func (s drawn) shares(counts []int64) []float64 {
	share := make([]float64, len(s.strata))
	for h, n := range s.rows {
		share[h] = float64(counts[h]) / float64(n)
	}
	return share
}

// drawnRows is the number of rows that are counted in one go.
const drawnRows = 1024

// draw evaluates and counts more rows of each stratum.
func (s *sample) draw(purpose string, rows []int64) error {
	pieces := piecesOf(purpose, make([]int64, len(rows)), rows, drawnRows)
	counts := make([]sim.PairedExceedance, len(pieces))
	planned := s.done + total(rows)
	tell := batch.Tally(func(done int64) {
		if s.Progress != nil {
			s.Progress(s.done+done, planned)
		}
	})
	err := batch.EachWith(s.ctx, s.Workers, len(pieces), evaluators(s.designs(), drawnRows), func(e *evaluator, i int) (err error) {
		defer tell(int64(pieces[i].rows))
		s.scores(pieces[i], e)
		counts[i], err = e.count(s.scenario.Requirements[0], pieces[i].rows)
		return err
	})
	if err != nil {
		return err
	}
	for i, p := range pieces {
		s.rows[p.stratum] += int64(p.rows)
		s.exceeding[p.stratum] += counts[i].OnlyFirst + counts[i].OnlyOther + counts[i].Both
		if s.partner != nil {
			s.partner.count(p.stratum, counts[i])
		}
	}
	s.done = planned
	return nil
}

// designs are what every row is evaluated in.
func (s *sample) designs() []sim.Scenario {
	if s.partner != nil {
		return []sim.Scenario{s.scenario, s.partner.scenario}
	}
	return []sim.Scenario{s.scenario}
}

// estimate is that of the rows that exceed.
func (s *sample) estimate() sim.Estimate { return s.weighted(s.exceeding, s.Confidence) }

// weighted is Σ W k/n of rows counted by stratum, with the interval of weighted
// counts.
func (s drawn) weighted(counts []int64, level float64) sim.Estimate {
	return s.weightedBeside(0, counts, level)
}

// weightedBeside is that where so many plain rows of their own showed no event: one that was not seen was missed among these, too.
func (s drawn) weightedBeside(others int64, counts []int64, level float64) sim.Estimate {
	var sum, squares, heaviest float64
	e := sim.Estimate{Level: level, Achieved: level, Method: "weighted counts of strata (gamma interval)"}
	for h, n := range s.rows {
		w, k := s.strata[h].probability/float64(n), float64(counts[h])
		sum, squares = sum+w*k, squares+w*w*k
		if k > 0 {
			heaviest = max(heaviest, w)
		}
		e.Count, e.N = e.Count+counts[h], e.N+n
	}
	largest := s.heaviest(s.probabilities())
	largest /= 1 + largest*float64(others)
	e.Value = sum
	e.Low, e.High = interval.WeightedCounts(sum, squares, largest, level)
	e.High = min(1, e.High)
	if e.Count == 0 {
		e.EffectiveN = 1 / largest
		e.Warnings = append(e.Warnings, sim.Warning{Code: sim.NeverSeen, Text: "never seen: the interval is an upper bound"})
		return e
	}
	e.EffectiveN = sum / squares // of plain random rows with the same variance p/n
	if heaviest > heavyShare*sum {
		e.Warnings = append(e.Warnings, sim.Warning{Code: WeightsCollapsed, Text: fmt.Sprintf("one event carries %.0f %% of the estimate: rows that exceed lie where few were expected", 100*heaviest/sum)})
	}
	return e
}
