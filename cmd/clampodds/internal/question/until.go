package question

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/strata"
)

// Until says how well one number is to be known.
type Until struct {
	Text string // WHAT=WIDTH; empty for a run of fixed size
	Cap  int64  // the most cards it may take
	// Insists says that as many are drawn even where ten times as many would not do.
	Insists bool
}

// pilotCards are drawn where it would take far too many.
const pilotCards = 200_000

// pilot is Pilot of strata.Options, and of a run by a plan.
func (u Until) pilot() int64 {
	if u.Insists {
		return 0
	}
	return pilotCards
}

// counts says that the number of a decision is what is asked for.
func (u Until) counts(s *study.Study, d *reports.Decision) bool {
	name, _, _ := strings.Cut(u.Text, "=")
	l, err := Limit(s, name)
	return u.Text != "" && err == nil && l.Name == d.Requirement && d.Condition == cmp.Or(s.ConditionName, AsWritten)
}

// goal is what --until asks for; one without text is none.
type goal struct {
	Until
	about string // in words
	unit  string // of the half-width; empty for a fraction of the value
	shown reports.Unit
	// limit is that of a probability, whole what is known by extending the run.
	limit *study.Limit
	whole sim.Goal
	// even says that evenly laid points are the better plan for it.
	even bool
	// stratified says that the probability is found from rows of their own.
	stratified bool
}

// goal reads the flag: WHAT=WIDTH.
func (u Until) goal(s *study.Study, m sim.Model) (*goal, error) {
	g := &goal{Until: u}
	if u.Text == "" {
		return g, nil
	}
	what, width, _ := strings.Cut(u.Text, "=")
	kind, output, named := strings.Cut(what, ":")
	if !named {
		output = mainOutput(s)
	} else if l, err := Limit(s, output); err == nil {
		output = l.Output
	}
	var err error
	switch {
	case kind == "digits":
		err = g.digits(m, output, width)
	case len(kind) > 1 && kind[0] == 'P' && strings.Trim(kind[1:], "0123456789.") == "":
		err = g.percentile(m, kind[1:], output, width)
	default:
		err = g.probability(s, what, width)
	}
	if err != nil {
		return nil, refused("until", "%s: %w", u.Text, err)
	}
	if len(s.Conditions) > 0 {
		g.about += ", " + cmp.Or(s.ConditionName, AsWritten) + ","
	}
	return g, nil
}

func (g *goal) probability(s *study.Study, name, width string) (err error) {
	if g.limit, err = Limit(s, name); err != nil {
		return err
	}
	number, isPercent := strings.CutSuffix(strings.TrimSpace(width), "%")
	relative, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if err != nil || !isPercent || !(relative > 0 && relative < 100) {
		return fmt.Errorf("a half-width in per cent of the probability expected, above 0 and below 100: %s=5%%", name)
	}
	g.about = fmt.Sprintf("the probability per card of %s above %s", reports.Label(g.limit.Output), ShownUnit(g.limit.Max, string(g.limit.Quantity), g.limit.Unit).Text(g.limit.Max))
	g.whole = sim.KnownProbability{Requirement: g.limit.Name, Relative: relative / 100}
	return nil
}

func (g *goal) percentile(m sim.Model, number, output, width string) error {
	percent, err := strconv.ParseFloat(number, 64)
	if err != nil || !(percent > 0 && percent < 100) {
		return errors.New("a percentile above P0 and below P100 expected")
	}
	at, err := outputNamed(m, output)
	if err != nil {
		return err
	}
	unit := units.Quantity(m.Outputs()[at].Unit).Difference()
	half, err := units.Parse(width, unit)
	if err != nil {
		return err
	}
	g.about, g.unit, g.even = fmt.Sprintf("%s of %s", reports.PercentileName(percent/100), reports.Label(output)), m.Outputs()[at].Unit, true
	g.shown = ShownUnit(half.SI, string(unit), half.Unit)
	if step := m.Outputs()[at].Bin; !(half.SI > step) {
		return fmt.Errorf("a half-width above %s expected, the step in which values are counted", g.shown.Text(step))
	}
	g.whole = sim.KnownPercentile{Output: output, Percentile: percent / 100, HalfWidth: half.SI}
	return nil
}

func (g *goal) digits(m sim.Model, output, width string) error {
	digits, err := strconv.Atoi(width)
	if err != nil {
		return errors.New("a number of digits expected, digits=2")
	}
	at, err := outputNamed(m, output)
	if err != nil {
		return err
	}
	g.about, g.unit = fmt.Sprintf("mean, standard deviation and 95 %% interval of %s, to %d digits of the standard deviation", reports.Label(output), digits), m.Outputs()[at].Unit
	g.shown = ShownUnit(1, string(units.Quantity(g.unit).Difference()), "")
	g.whole = sim.StableDigits{Output: output, Digits: digits, Coverage: 0.95}
	return nil
}

func outputNamed(m sim.Model, name string) (int, error) {
	at := slices.IndexFunc(m.Outputs(), func(o sim.Output) bool { return o.Name == name })
	if at < 0 {
		return 0, fmt.Errorf("no output %q; nominal --format json lists them", name)
	}
	return at, nil
}

// run returns how the run is done. Unless the user names a plan, a probability
// gets rows of its own, drawn where it is exceeded, beside the run as it is, and a
// percentile evenly laid points: what is cheapest, as measured.
func (g *goal) run(m Sampling) Doing {
	chosen := m.Sampler != nil
	g.stratified = g.limit != nil && !chosen
	if g.whole == nil || g.stratified {
		return (*sim.Run).Execute
	}
	return func(r *sim.Run, ctx context.Context) (*sim.Result, error) {
		if g.even && !chosen {
			r.Sampler = sim.Halton{}
		}
		r.Pilot = g.pilot()
		return r.ExecuteUntil(ctx, g.whole, g.Cap)
	}
}

// conclude adds what became of the goal to the result.
func (g *goal) conclude(ctx context.Context, c *Counting, run *sim.Run, done *Counted) error {
	if g.whole == nil || !done.Found.Complete {
		return nil
	}
	until := &reports.Until{Goal: g.Text, About: g.about, Unit: g.unit, Shown: g.shown}
	done.Result.Until = until
	if g.stratified {
		return g.refine(ctx, c, run, done)
	}
	r := done.Found.Reached
	until.Width, until.Wanted, until.Reached, until.Needed = r.Width, r.Wanted, r.Reached, neededCount(r.Needed)
	if r.GaveUp {
		until.GaveUpAt = g.Cap
	}
	until.Plan, until.Rows, until.Looks = done.Found.Sampler, done.Found.Rows, r.Looks
	done.judgeGoal(r.Reached)
	return nil
}

// refine finds the probability of a limit by strata and puts it in the place of
// the run's count.
func (g *goal) refine(ctx context.Context, c *Counting, run *sim.Run, done *Counted) error {
	at := slices.IndexFunc(run.Scenarios[0].Requirements, func(q sim.Requirement) bool { return q.Name == g.limit.Name })
	show, clear := c.Progress.start("cards about the limit")
	defer clear()
	relative := g.whole.(sim.KnownProbability).Relative
	found, err := strata.Estimate(ctx, run.Scenarios[0], run.Scenarios[0].Requirements[at], strata.Options{
		Relative: relative, Most: g.Cap, Pilot: g.pilot(), Confidence: run.Confidence, Seed: run.Seed, Workers: run.Workers, Progress: show,
	})
	if errors.Is(err, context.Canceled) {
		return ErrInterrupted
	}
	if err != nil {
		return err
	}
	u := done.Result.Until
	u.Width, u.Wanted, u.Reached, u.Needed = found.Width, relative, found.Reached, neededCount(found.Needed)
	if found.GaveUp {
		u.GaveUpAt = g.Cap
	}
	u.Plan, u.Rows, u.Looks = "strata along the rise of the output; gamma interval", found.Rows, found.Looks
	q := &done.Result.Requirements[at]
	q.PerCard, u.Limit = found.Estimate, q.Name
	done.Result.Warnings = append(done.Result.Warnings, found.Estimate.Warnings...)
	done.judgeGoal(found.Reached)
	return nil
}

// judgeGoal lets a goal that was missed show in the exit code: more cards would tell.
func (r *Counted) judgeGoal(reached bool) {
	if !reached {
		r.Verdicts = append(r.Verdicts, sim.Undecided)
	}
}
