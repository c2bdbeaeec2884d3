package question

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/loosen"
)

// Loosening asks how far each tolerance may be loosened before a limit is missed.
type Loosening struct {
	Limits []string // by their names; none: all with a target
	Inputs []string // the tolerances, by their keys; none: all that scatter and are not lack of knowledge
}

// Ask searches, one tolerance at a time, and for the cheapest set where the study has
// costs. The verdict is that of the requirements as written.
func (a Loosening) Ask(ctx context.Context, read *study.Study, m Sampling, progress Progress) (r reports.Loosen, verdict sim.Verdict, err error) {
	read = read.Averaged() // each card by itself
	one, err := a.scenario(read)
	if err != nil {
		return r, verdict, err
	}
	moves, err := a.moves(read, one.Plan)
	if err != nil {
		return r, verdict, err
	}
	search, err := loosen.New(ctx, *m.Run(read, one))
	if err != nil {
		return r, verdict, err
	}
	show, clear := progress.start("tolerances")
	defer clear()
	windows, cheapest, err := a.find(ctx, read, search, moves, show)
	if err != nil {
		return r, verdict, err
	}
	for i, q := range search.Requirements() {
		verdict = sim.All(verdict, search.Base().Exceeded[i].Judge(q.Target))
	}
	return newLoosen(read, search, windows, cheapest), verdict, nil
}

// Scenario is the study as written with the limits asked for. What is asked is the
// probability for one card.
func (a Loosening) scenario(read *study.Study) (sim.Scenario, error) {
	one, err := singleCards(read)
	if err != nil || len(a.Limits) == 0 {
		return one, err
	}
	var chosen []sim.Requirement
	for _, name := range a.Limits {
		q, err := targeted(read, one, name)
		if err != nil {
			return one, err
		}
		chosen = append(chosen, q)
	}
	one.Requirements = chosen
	return one, nil
}

// singleCards wires a study with every card in a chassis of its own.
func singleCards(read *study.Study) (sim.Scenario, error) {
	one, err := Scenario(read, read.Title)
	if err != nil {
		return one, err
	}
	if one.Plan, err = one.Plan.Regrouped(1); err != nil {
		return one, err
	}
	return one, nil
}

// targeted finds the requirement of a limit that has a target; an empty name is
// the first temperature's.
func targeted(read *study.Study, one sim.Scenario, name string) (sim.Requirement, error) {
	l, err := Limit(read, name)
	if err != nil {
		return sim.Requirement{}, err
	}
	if l.Target == 0 {
		return sim.Requirement{}, fmt.Errorf("limit %s has no target: nothing says how often it may be exceeded", l.Name)
	}
	at := slices.IndexFunc(one.Requirements, func(q sim.Requirement) bool { return q.Name == l.Name })
	return one.Requirements[at], nil
}

// moves lists the axes: spread, limits and mean of every tolerance.
func (a Loosening) moves(read *study.Study, plan *sim.Plan) ([]loosen.Move, error) {
	keys := a.Inputs
	if len(keys) == 0 {
		for _, in := range read.Inputs {
			if isTolerance(&in) {
				keys = append(keys, in.Key)
			}
		}
	}
	var moves []loosen.Move
	for _, key := range keys {
		if err := read.OnlyApart(key); err != nil {
			return nil, refused("input", "%w; name %s.left or %s.right", err, key, key)
		}
		if read.Input(key) == nil {
			if _, err := study.AsInput(key); err != nil {
				return nil, Refused{"input", err}
			}
			return nil, refused("input", "%s: the study has no such input; check lists them", key)
		}
		spread, err := loosen.Widen(plan, key)
		if err != nil {
			return nil, err
		}
		limits, cut, err := loosen.WidenLimits(plan, key)
		if err != nil {
			return nil, err
		}
		mean, err := loosen.ShiftMean(plan, key)
		if err != nil {
			return nil, err
		}
		moves = append(moves, spread)
		if cut {
			moves = append(moves, limits)
		}
		moves = append(moves, mean)
	}
	return moves, nil
}

// find looks for all windows, then for the cheapest set when the study has
// costs.
func (a Loosening) find(ctx context.Context, read *study.Study, search *loosen.Search, moves []loosen.Move, show func(done, total int64)) ([]loosen.Window, *loosen.Cheapest, error) {
	var windows []loosen.Window
	for i, m := range moves {
		if show != nil {
			show(int64(i), int64(len(moves)))
		}
		w, err := search.Window(ctx, m)
		if err != nil {
			return nil, nil, err
		}
		windows = append(windows, w)
	}
	if len(read.Costs) == 0 {
		return windows, nil, nil
	}
	cheapest, err := search.Cheapest(ctx, choices(read))
	return windows, &cheapest, err
}

// choices are the steps of the study's costs.
func choices(read *study.Study) []loosen.Choice {
	var list []loosen.Choice
	for _, c := range read.Costs {
		choice := loosen.Choice{Input: c.Input}
		for _, step := range c.Steps {
			choice.Steps = append(choice.Steps, loosen.Step{Factor: step.Spread, Cost: step.Cost})
		}
		list = append(list, choice)
	}
	return list
}

// isTolerance reports whether an input scatters from part to part. The factors
// of the model error scatter, but no drawing can change them.
func isTolerance(in *study.Input) bool {
	return in.Dist != nil && !in.Knowledge && !strings.HasPrefix(in.Key, "contact.")
}

// untouched lists the inputs that scatter and are no tolerances.
func untouched(read *study.Study) []string {
	var keys []string
	for _, in := range read.Inputs {
		if in.Dist != nil && !isTolerance(&in) {
			keys = append(keys, in.Key)
		}
	}
	return keys
}

// enumerate joins words: "a, b and c".
func enumerate(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// newLoosen converts a search for the reports.
func newLoosen(read *study.Study, search *loosen.Search, windows []loosen.Window, cheapest *loosen.Cheapest) reports.Loosen {
	base := search.Base()
	r := reports.Loosen{
		Schema: reports.LoosenSchema, Provenance: searched(read, search),
		Requirements: pointRequirements(read, search, base), Knowledge: untouched(read),
	}
	for _, w := range windows {
		r.Tolerances = append(r.Tolerances, tolerance(read, search, w))
	}
	r.Verdict, r.Answer, r.Needed = asWritten(search, base, r.Requirements)
	r.Answer += leastRoom(r.Tolerances)
	if cheapest != nil {
		r.Cheapest = cheapestResult(read, search, cheapest)
	}
	r.Evaluations = search.Evaluations()
	return r
}

// searched is the provenance of a search.
func searched(read *study.Study, search *loosen.Search) reports.Provenance {
	run := search.Run()
	p := Provenance(read)
	n := search.Base().Exceeded[0].N
	p.Seed, p.Samples, p.Chassis, p.CardsPerChassis = run.Seed, n, n, 1
	p.Plan, p.Confidence = run.Sampler.Name(), run.Confidence
	return p
}

// pointRequirements are the requirements at a point.
func pointRequirements(read *study.Study, search *loosen.Search, p loosen.Point) []reports.LoosenRequirement {
	var list []reports.LoosenRequirement
	for i, q := range search.Requirements() {
		l, err := Limit(read, q.Name)
		if err != nil {
			panic("clampodds: " + err.Error()) // requirements are made from limits
		}
		e := p.Exceeded[i]
		list = append(list, reports.LoosenRequirement{
			Name: l.Name, Label: reports.Label(l.Output), LimitText: l.Format(l.Max), Target: q.Target, PerCard: e,
			Verdict: sim.Judge(e, q.Target).String(), Provable: search.Provable(i), Needed: e.Needed(q.Target),
		})
	}
	return list
}

// asWritten says how the study fares.
func asWritten(search *loosen.Search, p loosen.Point, requirements []reports.LoosenRequirement) (verdict, text string, needed int64) {
	var missed, open, strict []string
	needed = search.Needed(p)
	for _, q := range requirements {
		switch {
		case q.Verdict == sim.NotMet.String():
			missed = append(missed, q.Label)
		case q.Verdict == sim.Undecided.String() && !q.Provable:
			strict = append(strict, q.Label)
			needed = max(needed, q.Needed)
		case q.Verdict == sim.Undecided.String():
			open = append(open, q.Label)
		}
	}
	switch {
	case len(missed) > 0:
		return "no", "No: as written a limit is missed (" + enumerate(missed) + "). The tables tell what a tolerance would have to become.", 0
	case len(open) > 0:
		text = fmt.Sprintf("Undecided: these cards do not show whether the limits are met as written (%s).", enumerate(append(open, strict...)))
	case len(strict) > 0:
		text = "Undecided: as written no limit is seen missed, but the target is too strict for these cards to show it met (" + enumerate(strict) + ")."
	default:
		return "yes", "Yes: as written every limit is met.", 0
	}
	return "undecided", text + fmt.Sprintf(" At the rates seen about %s cards would decide.", reports.Samples(needed)), needed
}

// leastRoom names the spread with the least room.
func leastRoom(all []reports.Tolerance) string {
	least, factor := -1, math.Inf(1)
	for i, m := range all {
		if at := m.Ends[0].Estimate.At; (m.Kind == "spread" || m.Kind == "size") && at != nil && *at >= 1 && *at < factor {
			least, factor = i, *at
		}
	}
	if least < 0 {
		return ""
	}
	end := all[least].Ends[0]
	return fmt.Sprintf(" The spread with the least room is that of %s: it may grow %s-fold, then the limit %s is missed.",
		all[least].Input, reports.Number(factor, 2), end.First)
}

// tolerance converts a window for the reports.
func tolerance(read *study.Study, search *loosen.Search, w loosen.Window) reports.Tolerance {
	in := read.Input(w.Move.Input)
	t := reports.Tolerance{Input: in.Key, Kind: w.Move.Kind.String(), Unit: "1", Now: band(in, in.Dist)}
	upper := toleranceEnd(search, w.Move, w.Upper, +1)
	if w.Move.Kind != loosen.Mean {
		upper.Becomes = becomes(in, w)
		t.Ends = []reports.ToleranceEnd{upper}
		return t
	}
	t.Unit, t.Now = string(in.Quantity().Difference()), meanText(in)
	lower := toleranceEnd(search, w.Move, w.Lower, -1)
	upper.Becomes, upper.RangeText = meanTexts(in, w.Upper)
	lower.Becomes, lower.RangeText = meanTexts(in, w.Lower)
	t.Ends = []reports.ToleranceEnd{lower, upper}
	return t
}

func toleranceEnd(search *loosen.Search, m loosen.Move, e loosen.End, direction float64) reports.ToleranceEnd {
	r := reports.ToleranceEnd{
		Direction: "up", Estimate: position(e.Estimate), Proven: position(e.Proven), Possible: position(e.Possible),
		Verdict: mayLoosen(m, e, direction).Answer(),
	}
	if direction < 0 {
		r.Direction = "down"
	}
	if e.First >= 0 {
		r.First = search.Requirements()[e.First].Name
	}
	return r
}

// mayLoosen is Met when a position beyond the base is proven, NotMet when the
// base is not possible.
func mayLoosen(m loosen.Move, e loosen.End, direction float64) sim.Verdict {
	switch {
	case e.Proven.State == loosen.Open, e.Proven.State == loosen.Found && (e.Proven.At-m.Base)*direction > 0:
		return sim.Met
	case e.Possible.State == loosen.Never, e.Possible.State == loosen.Found && (e.Possible.At-m.Base)*direction <= 0:
		return sim.NotMet
	}
	return sim.Undecided
}

func position(b loosen.Bound) reports.Position {
	switch b.State {
	case loosen.Open:
		return reports.Position{State: "open"}
	case loosen.Never:
		return reports.Position{State: "never"}
	}
	at := b.At
	return reports.Position{State: "found", At: &at}
}

// becomes says what the tolerance may become.
func becomes(in *study.Input, w loosen.Window) string {
	switch w.Upper.Estimate.State {
	case loosen.Open:
		return "> 4-fold"
	case loosen.Never:
		return "none is enough"
	}
	d, err := w.Move.Distribution(in.Dist, w.Upper.Estimate.At)
	if err != nil {
		panic("clampodds: " + err.Error()) // the position was evaluated, or lies between two that were
	}
	return band(in, d)
}

// band says a spread as a drawing or a buyer would: limits where there are any,
// the 95th percentile of a deviation from zero, else the standard deviation.
// Limits beyond the allowed range are shown at its end, where the model puts
// the draws.
func band(in *study.Input, d dist.Distribution) string {
	low, high := d.Support()
	switch {
	case low > -math.MaxFloat64 && high < math.MaxFloat64:
		shown := ShownUnit(high, in.Parameter.Unit, in.Unit)
		from, to := shown.Of(max(low, in.Parameter.Low)), shown.Of(min(high, in.Parameter.High))
		decimals := reports.Digits(from, min(from, to), max(from, to))
		return reports.Number(from, decimals) + " … " + reports.Number(to, decimals) + unitText(shown)
	case low == 0:
		return "P95 " + twoDigits(in, d.Quantile(0.95), in.Quantity())
	}
	return "sd " + twoDigits(in, d.StdDev(), in.Quantity().Difference())
}

// twoDigits prints a spread: two digits, a third after a 1.
func twoDigits(in *study.Input, si float64, q units.Quantity) string {
	label, of := units.Shown(si, q, in.Unit)
	value := of(si)
	return reports.Number(value, reports.Digits(value, 0.8*value, 1.2*value)) + unitText(reports.Unit{Label: label})
}

// unitText is a unit behind a number.
func unitText(shown reports.Unit) string {
	if shown.Label == "" {
		return ""
	}
	return " " + shown.Label
}

// meanText prints a mean with the decimals that its spread asks for.
func meanText(in *study.Input) string {
	mean, tenth := in.Dist.Mean(), 0.1*in.Dist.StdDev()
	shown := ShownUnit(mean, in.Parameter.Unit, in.Unit)
	decimals := reports.Digits(shown.Of(mean), shown.Of(mean-tenth), shown.Of(mean+tenth))
	return reports.Number(shown.Of(mean), decimals) + unitText(shown)
}

// meanTexts prints where the mean of an input may lie, and the interval of it.
func meanTexts(in *study.Input, e loosen.End) (value, both string) {
	mean := in.Dist.Mean()
	shown := ShownUnit(mean, in.Parameter.Unit, in.Unit)
	width := 0.1 * in.Dist.StdDev()
	if e.Proven.State == loosen.Found && e.Possible.State == loosen.Found {
		width = math.Abs(e.Possible.At - e.Proven.At)
	}
	decimals := reports.Digits(shown.Of(mean), shown.Of(mean), shown.Of(mean+width))
	text := func(b loosen.Bound) string {
		switch b.State {
		case loosen.Open:
			return "6 sd"
		case loosen.Never:
			return "nowhere"
		}
		at := min(max(mean+b.At, in.Parameter.Low), in.Parameter.High)
		return reports.Number(shown.Of(at), decimals)
	}
	value = text(e.Estimate)
	if e.Estimate.State == loosen.Found {
		value += unitText(shown)
	}
	return value, text(e.Proven) + " … " + text(e.Possible)
}

// cheapestResult converts the cheapest set for the reports.
func cheapestResult(read *study.Study, search *loosen.Search, c *loosen.Cheapest) *reports.CheapestTolerances {
	r := &reports.CheapestTolerances{Sets: c.Sets, Evaluated: c.Evaluated, Seed: c.FreshSeed}
	if c.Undecided != nil {
		r.Cheaper = steps(read, *c.Undecided)
	}
	if c.Best == nil {
		r.Verdict, r.Answer = "no", fmt.Sprintf("No: none of the %d sets on offer meets every limit.", c.Sets)
		if c.Undecided != nil {
			r.Verdict = "undecided"
			r.Answer = fmt.Sprintf("Undecided: no set on offer is shown to meet every limit; about %s cards would decide on the cheapest that may, of cost %s.",
				reports.Samples(search.Needed(c.Undecided.Point)), reports.Plain(c.Undecided.Cost))
		}
		return r
	}
	r.Steps, r.Cost, r.Fresh = steps(read, *c.Best), c.Best.Cost, pointRequirements(read, search, c.Confirmed)
	verdict := c.Confirmed.Verdict()
	if verdict == sim.NotMet {
		verdict = sim.Undecided // two sets of draws contradict one another
	}
	r.Verdict = verdict.Answer()
	r.Answer = fmt.Sprintf("Yes: at a cost of %s every limit is met; %d of %d sets had to be tried.", reports.Plain(c.Best.Cost), c.Evaluated, c.Sets)
	if verdict != sim.Met {
		r.Answer = fmt.Sprintf("Undecided: the set of cost %s met every limit on the draws of the search, but fresh draws do not show it; about %s cards would decide.",
			reports.Plain(c.Best.Cost), reports.Samples(search.Needed(c.Confirmed)))
	}
	if c.Undecided != nil {
		r.Answer += fmt.Sprintf(" A set of cost %s may do as well; about %s cards would decide.", reports.Plain(c.Undecided.Cost), reports.Samples(search.Needed(c.Undecided.Point)))
	}
	return r
}

// steps are the tolerances of a set.
func steps(read *study.Study, set loosen.Set) []reports.CheapestStep {
	var list []reports.CheapestStep
	for i, c := range read.Costs {
		step := c.Steps[set.Steps[i]]
		in := read.Input(c.Input)
		d, err := loosen.Widened(in.Dist, step.Spread)
		if err != nil {
			panic("clampodds: " + err.Error()) // the set was evaluated
		}
		list = append(list, reports.CheapestStep{Input: c.Input, Factor: step.Spread, Becomes: band(in, d), Label: step.Label, Cost: step.Cost})
	}
	return list
}
