package strata

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/interval"
)

// farFromSurface is the share of the spread of the surface, as standard deviations of
// normal scores, beyond which its misfit is warned of.
const farFromSurface = 0.2

// Errors of a KnowledgeLook.
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

// KnowledgeOptions steers NewKnowledgeLook and KnowledgeOfChange.
type KnowledgeOptions struct {
	// Rows is about how many rows KnowledgeOfChange evaluates, besides those of Screen.
	Rows int64
	// Screen, if there is one, is a sample of the scenario: it shows where to go, and its
	// rows count.
	Screen *Screen
	// Confidence is the probability of the upper quantile over what is not known, in
	// (1/2, 1); Level that of the intervals, 0 for the same.
	Confidence, Level float64
	// Bound says that where the limit is exceeded far more rarely than its target, a
	// bound is enough: the probabilities over what is not known are then those of a
	// stricter limit, and Upper.Low is 0.
	Bound bool
	Seed  uint64
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
	Confidence           float64
	// Inputs are the names of the variables that are not known.
	Inputs []string
	// Evaluations is the number of rows evaluated, small samples included.
	Evaluations int64
	// Spread and Misfit are standard deviations of the normal score of the
	// probability: of the surface over the unknown inputs, and of what it leaves out. MisfitNoise
	// is what the rows may show of the latter where nothing is left out.
	Spread, Misfit, MisfitNoise float64
	// Fitted is the surface over Inputs.
	Fitted   Fitted
	Warnings []sim.Warning
}

// Student is by how many standard errors the intervals over what is not known reach to either side.
func Student(level float64) float64 { return interval.StudentTUpper((1-level)/2, rowGroups-1) }

func (o KnowledgeOptions) level() float64 {
	if o.Level > 0 {
		return o.Level
	}
	return o.Confidence
}

// layers are the rows of one sample that exceed in each design, the first of which
// leads the way to the limit.
type layers struct {
	*sample
	inputs []string
	index  []float64
	// limit is that of the question, or a stricter one.
	limit    sim.Requirement
	unknowns []int
	// had is how many rows of the screen lie in each stratum, and screened they themselves.
	had      []int64
	screened exceeding
	// atBound is the probability of each stratum given that the unknown inputs lie at their bound.
	atBound []float64
	// share is that of the rows of each stratum that exceed, as a first look at tried rows says.
	share []float64
	tried int64
	// finer is how many times the usual rows the look asks for, at least 1.
	finer float64
	found seen // of the rows drawn since
	seen       // and of the screen's as well
}

func newLayers(ctx context.Context, designs []sim.Scenario, q sim.Requirement, o KnowledgeOptions) (*layers, error) {
	if !(o.Confidence > 0.5 && o.Confidence < 1) {
		return nil, fmt.Errorf("confidence: %v, must be above 1/2 and below 1", o.Confidence)
	}
	lead := designs[0].Only(q.Output)
	unknown, err := unknownIn(lead.Inputs)
	if err != nil {
		return nil, err
	}
	l := &layers{}
	if l.sample, err = newSample(ctx, lead, q, o.Screen, Options{Confidence: o.level(), Seed: o.Seed, Workers: o.Workers}); err != nil {
		return nil, err
	}
	// An unknown input without a share in the direction moves the probability by less than
	// can be seen: it is averaged over with what varies.
	unknown = slices.DeleteFunc(unknown, func(v int) bool { return !slices.Contains(l.direction.variable, v) })
	if len(unknown) == 0 {
		return nil, ErrNoKnowledge
	}
	l.index = l.direction.restricted(unknown).weight
	for _, v := range unknown {
		l.inputs = append(l.inputs, l.randomInputs().Variables()[v].Name)
	}
	if len(designs) > 1 {
		l.partner = newPartner(designs[1], q, len(l.strata))
	}
	l.unknowns, l.had = unknown, make([]int64, len(l.strata))
	l.atBound = l.given(dist.NormalQuantile(o.Confidence)) // where the index has that quantile, if the probability rises along it
	if o.Screen != nil {
		l.had, l.screened = l.screen.across(l.direction, l.cells, l.strata)
	}
	if l.share, err = l.look(ctx, len(designs) == 1 && o.Bound); err != nil {
		return nil, err
	}
	if o.Screen != nil {
		l.screened = l.screen.placed(l.screened.beyond(l.limit), unknown)
	}
	copy(l.rows, l.had)
	l.tried, l.found = l.done, make(seen, len(designs))
	return l, nil
}

// usualRows is the number of rows that the places where a surface is read, and the weight of one row, are made for; of more,
// both are finer.
const usualRows = 60_000

// extendAbout draws what is missing of about so many rows about the limit.
func (l *layers) extendAbout(ctx context.Context, about int64) error {
	l.finer = max(1, float64(about)/usualRows)
	rows := l.aboutTheLimit(max(1, about-l.tried))
	if rows == nil {
		return ErrTooRare
	}
	return l.extend(ctx, rows)
}

// extend draws what is missing of so many rows of each stratum, besides those of the screen.
func (l *layers) extend(ctx context.Context, rows []int64) error {
	from := make([]int64, len(rows))
	for h := range rows {
		from[h] = l.rows[h] - l.had[h]
	}
	more, err := l.see(ctx, l.designs(), "strata/seen", from, rows, l.limit, l.unknowns)
	if err != nil {
		return err
	}
	l.seen = make(seen, len(more))
	for d := range more {
		l.found[d].join(more[d])
		l.found[d].sort() // as those of one look come
		l.seen[d].join(l.found[d])
	}
	l.seen[0].join(l.screened)
	for d := range l.seen {
		l.seen[d].weigh(l.drawn)
	}
	return nil
}

// boundShare is how often the limit that serves as a bound is exceeded, over the target.
const boundShare = 0.07

// look returns the share of rows of each stratum that exceed the limit: of the screened
// ones, or where these are few, of a small sample. Where the limit is exceeded far more
// rarely than the target, and a bound is enough, it sets a stricter limit.
func (l *layers) look(ctx context.Context, bound bool) ([]float64, error) {
	q := l.scenario.Requirements[0]
	l.limit = q
	all := q
	all.Limit = math.Inf(-1)
	if q.Below {
		all.Limit = math.Inf(1)
	}
	rows := make([]int64, len(l.strata))
	for h := range rows {
		if l.had[h] < profileRows {
			rows[h] = profileRows
		}
	}
	small, err := l.see(ctx, l.designs(), "strata/profile", make([]int64, len(rows)), rows, all, nil)
	if err != nil {
		return nil, err
	}
	l.forget()
	for h, n := range rows {
		if n == 0 {
			rows[h] = l.had[h]
		}
	}
	// Rows of the screen count where there was no small sample.
	small[0].grow(len(l.screened.stratum))
	for r, h := range l.screened.stratum {
		if l.had[h] >= profileRows {
			small[0].add(h, 0, l.screened.value[r], nil)
		}
	}
	share := func() []float64 {
		share := make([]float64, len(l.strata))
		for _, e := range small {
			for h, n := range e.counts(l.limit, len(l.strata)) {
				share[h] = max(share[h], float64(n)/float64(rows[h]))
			}
		}
		return share
	}
	first := share()
	if aim := boundShare * q.Target; bound && expected(l.strata, first) < aim {
		small[0].weigh(drawn{l.strata, rows})
		l.limit.Limit = small[0].exceededBy(aim, q.Below)
		return share(), nil
	}
	return first, nil
}

const (
	// unseenShare is what one row of the usual ones may stand for, over the target, of the mean and of the bound: an event
	// where none was seen then widens the interval by a tenth of the target. Of fewer rows each stands for more, up to largestShare.
	unseenShare  = 0.03
	largestShare = 0.1
	// leastWeight keeps the rows for it from becoming far more than the usual.
	leastWeight = 1.0 / 150_000
)

// aboutTheLimit puts about so many rows where the limit is, besides those that there are
// already, as far as the weight of one row allows; it is nil where none exceeds.
func (l *layers) aboutTheLimit(about int64) []int64 {
	share := smooth(l.strata, l.share)
	probability := expected(l.strata, share)
	if probability == 0 {
		return nil
	}
	aim, part := max(probability, l.scenario.Requirements[0].Target), min(largestShare, unseenShare*usualRows/float64(about))
	return l.spread(share, min(largestShare*aim, max(part*aim, leastWeight)), about, l.atBound)
}

// spread puts about so many rows besides those that there are, in proportion to W sqrt(p), but as many as
// the weight of one asks for, also where the strata have other probabilities, if there are such.
func (l *layers) spread(share []float64, heaviest float64, about int64, also []float64) []int64 {
	return filled(about, func(density float64) []int64 {
		rows := allocate(l.strata, share, heaviest, density)
		for h, p := range also {
			rows[h] = max(rows[h], int64(math.Ceil(p/heaviest)))
		}
		return l.besides(rows)
	})
}

// besides takes the rows of the screen off.
func (l *layers) besides(rows []int64) []int64 {
	for h, n := range l.had {
		rows[h] = max(0, rows[h]-n)
	}
	return rows
}

// smooth replaces shares of exceeding rows that are too small to be seen in a small
// sample by what a straight line through the normal scores of the others of the same cell says: an
// event in a stratum with too few rows carries much of the estimate.
func smooth(all []stratum, share []float64) (smoothed []float64) {
	for from := 0; from < len(all); {
		to := from
		for to < len(all) && all[to].cell == all[from].cell {
			to++
		}
		smoothed = append(smoothed, smoothCell(all[from:to], share[from:to])...)
		from = to
	}
	return smoothed
}

func smoothCell(all []stratum, share []float64) []float64 {
	var t, score []float64
	middle := func(h int) float64 {
		return -dist.NormalQuantile(dist.NormalSurvival(all[h].high) + all[h].slab/2)
	}
	for h, p := range share {
		if p > 0 && p < 1 {
			t, score = append(t, middle(h)), append(score, dist.NormalQuantile(p))
		}
	}
	if len(t) < 2 {
		return share
	}
	intercept, slope := stat.LinearRegression(t, score, nil, false)
	slope = max(0, slope)
	lowest := floats.Min(t)
	smoothed := slices.Clone(share)
	for h := range smoothed {
		if at := middle(h); at < lowest {
			smoothed[h] = max(share[h], dist.NormalCDF(intercept+slope*at))
		}
	}
	return smoothed
}

// unknown reads the distribution of the probability of the first design.
func (l *layers) unknown(o KnowledgeOptions) (*Unknown, error) {
	at := newReading(l.index, l.finer, o.Seed, o.Workers)
	s, err := l.surface(l.seen[0], at)
	if err != nil {
		return nil, err
	}
	u := &Unknown{Confidence: o.Confidence, Inputs: l.inputs, Evaluations: l.done, Fitted: Fitted{s.index, s.form, s.coefficients.RawVector().Data}}
	u.Misfit, u.MisfitNoise = at.misfit(s, l.seen[0])
	u.Spread = math.Sqrt(stat.Moment(2, at.heights(s, s.coefficients, 0), at.weight))
	u.Mixed = l.mean(o)
	heights := at.heights(s, s.coefficients, u.Misfit)
	quantile := func(p float64) func([]float64, *narrowing) float64 {
		return func(heights []float64, n *narrowing) float64 { return n.quantile(heights, at.weight, p) }
	}
	numbers := []func([]float64, *narrowing) float64{quantile(0.5), quantile(o.Confidence)}
	heaviest := []float64{l.heaviest(l.given(0)), l.heaviest(l.atBound)}
	without := at.withoutGroups(func(g int) []float64 { return at.heights(s, s.moved[g], u.Misfit) }, numbers...)
	for k, e := range []*sim.Estimate{&u.Median, &u.Upper} {
		height, se := numbers[k](heights, newNarrowing()), jackknife(without[k])
		// What the surface leaves out may be all on one side where it is read.
		half, value := Student(o.level())*math.Hypot(se, u.Misfit), dist.NormalCDF(height)
		above := withUnseen(dist.NormalCDF(height+half)-value, heaviest[k], o.level())
		*e = sim.Estimate{
			Value: value, Interval: sim.Interval{Low: dist.NormalCDF(height - half), High: min(1, value+above)}, N: l.done,
			Level: o.level(), Achieved: o.level(), Method: "surface over the unknown inputs, jackknife over rows",
		}
	}
	if l.limit != l.scenario.Requirements[0] {
		u.Median.Low, u.Upper.Low = 0, 0
		u.Upper.Method = "bound: a stricter limit, " + u.Upper.Method
	}
	if u.Misfit > farFromSurface*u.Spread {
		u.Warnings = append(u.Warnings, sim.Warning{Code: SurfaceMisfit, Text: fmt.Sprintf(
			"the probability does not follow a smooth surface over the unknown inputs: %.2g beside a spread of %.2g normal scores is counted as further spread", u.Misfit, u.Spread)})
	}
	return u, nil
}

// surface fits the richest that the rows carry.
func (l *layers) surface(e exceeding, at reading) (surface, error) {
	_, effective := e.total()
	b, ok := newBasis(l.index, effective, l.finer)
	if !ok {
		return surface{}, ErrTooRare
	}
	return b.fit(e, at)
}

// unknownIn lists the variables that are not known. There must be such, and others, and
// no correlation between the two.
func unknownIn(inputs *sim.Inputs) (unknown []int, err error) {
	for i, v := range inputs.Variables() {
		if v.Knowledge {
			unknown = append(unknown, i)
		}
	}
	switch len(unknown) {
	case 0:
		return nil, ErrNoKnowledge
	case len(inputs.Variables()):
		return nil, ErrOnlyKnowledge
	}
	for _, set := range inputs.CorrelatedSets() {
		first := inputs.Variables()[set[0]].Knowledge
		if slices.ContainsFunc(set, func(i int) bool { return inputs.Variables()[i].Knowledge != first }) {
			return nil, ErrMixedSets
		}
	}
	return unknown, nil
}
