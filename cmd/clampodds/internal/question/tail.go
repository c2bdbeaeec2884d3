package question

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/decide"
	"clampodds/sim/rare"
	"clampodds/sim/tail"
)

// Exceedance asks for the probability that a card exceeds one limit, where that is too
// rare to be counted.
type Exceedance struct {
	Limit         string // its name in the study; empty for the first temperature's
	At            string // the value it is moved to, as typed; empty for the study's
	Evaluations   int    // the most that each estimate may take
	RelativeError float64
	Sampling      // its seed and workers

	record *sim.Estimate // that of the limit in the study, where it is known already
}

// Tail decides on the limit by its numbers of record, in every condition, and finds the ways to exceed
// it, and by them the probability once more. Without a target an established probability is met.
func (q Exceedance) Tail(ctx context.Context, s *study.Study) (r reports.Tail, verdict sim.Verdict, err error) {
	limit, state, err := q.State(s)
	if err != nil {
		return r, verdict, err
	}
	var found rare.Result
	var judged *decide.Mission
	parts := []func() error{
		func() (err error) { judged, err = q.judge(ctx, s, limit); return err },
		func() (err error) { found, err = q.estimate(ctx, s, limit, state); return err },
	}
	if err := batch.Each(ctx, q.Workers, len(parts), func(i int) error { return parts[i]() }); err != nil {
		return r, verdict, err
	}
	r = newTail(s, limit, state, found)
	r.Seed, r.Allowed, r.RelativeError, r.Moved = q.seed(s), q.Evaluations, q.RelativeError, q.At != ""
	if judged == nil {
		return r, established(found), nil
	}
	r.Decision, verdict = decided(s.WithLimit(*limit), judged, s.Run.Confidence)
	r.Record = &judged.Records[0][0].Mean
	return r, verdict, nil
}

// judge decides on one limit, where it has a target.
func (q Exceedance) judge(ctx context.Context, s *study.Study, limit *study.Limit) (*decide.Mission, error) {
	if limit.Target == 0 {
		return nil, nil
	}
	to := moved{limits: []string{limit.Name}}
	if q.At != "" {
		to.name = fmt.Sprintf("limit at %v", limit.Max)
		to.by = func(s *study.Study) (*study.Study, error) { return s.WithLimit(*limit), nil }
	}
	return missionOf(ctx, q.recordSetup(s), s, to, true)
}

// State is the limit asked for and its events.
func (q Exceedance) State(s *study.Study) (*study.Limit, *tail.State, error) {
	if q.Workers < 0 {
		return nil, nil, fmt.Errorf("workers: %d, must not be negative", q.Workers)
	}
	limit, err := Limit(s, q.Limit)
	if err != nil {
		return nil, nil, err
	}
	if limit, err = movedTo(limit, q.At); err != nil {
		return nil, nil, err
	}
	one, err := Scenario(s, s.Title)
	if err != nil {
		return nil, nil, err
	}
	state, err := tail.NewState(one, rareEvents(s, limit)...)
	if err != nil {
		return nil, nil, err
	}
	state.Workers = q.Workers
	return limit, state, nil
}

func (q Exceedance) estimate(ctx context.Context, s *study.Study, l *study.Limit, state *tail.State) (found rare.Result, err error) {
	err = untilInterrupted(ctx, func() (err error) {
		found, err = rare.Estimate(state.Problem(), rare.Options{
			Stream: tail.Stream(q.seed(s), l.Name), Evaluations: q.Evaluations, RelativeError: q.RelativeError, Level: s.Run.Confidence,
		})
		return err
	})
	return found, err
}

// established is the verdict where nothing is asked of a probability but that.
func established(found rare.Result) sim.Verdict {
	if found.Established() {
		return sim.Met
	}
	return sim.Undecided
}

func newTail(s *study.Study, l *study.Limit, state *tail.State, found rare.Result) reports.Tail {
	r := reports.Tail{
		Schema: reports.TailSchema, Provenance: Provenance(s), Evaluations: found.Evaluations,
		Name: l.Name, Label: reports.Label(l.Output), Quantity: l.Output, Limit: l.Max, Unit: string(l.Quantity),
		Shown: ShownUnit(l.Max, string(l.Quantity), l.Unit), Target: l.Target,
		Established: found.Established(), Agreement: string(found.Evidence), Reason: found.Reason,
		Probability: found.Probability, Beta: found.Probability.Beta(),
		Methods: tailMethods(found),
	}
	for e, p := range found.Events {
		has := func(d rare.DesignPoint) bool { return d.Event == e }
		r.Events = append(r.Events, reports.TailEvent{
			Name: state.Events()[e].Name, Label: eventLabel(l, state.Events()[e]), Probability: p,
			OutOfReach: p.Value == 0 && !slices.ContainsFunc(found.DesignPoints, has),
		})
	}
	for _, p := range distinct(found.DesignPoints) {
		r.Ways = append(r.Ways, reports.TailWay{
			Event: wayLabel(state.Events()[p.Event]), Beta: p.Beta, FirstOrder: p.Approximation(),
			Inputs: tailInputs(s, state, p),
		})
	}
	r.Warnings = slices.Concat(found.Warnings, notRare(found))
	return r
}

// notRare warns of a limit for which looking at the tail is the wrong way.
func notRare(found rare.Result) []reports.Warning {
	switch {
	case found.Probability.Value == 0 && len(found.Centres) == 0:
		return []reports.Warning{{Code: "never-exceeded", Text: "no draw exceeded the limit and no way to it was found within 9 standard deviations: it may be out of reach of the inputs"}}
	case found.Probability.Value > 0.1:
		return []reports.Warning{{Code: "not-rare", Text: "this is not rare: clampodds run counts it directly"}}
	}
	return nil
}

func tailMethods(found rare.Result) []reports.TailMethod {
	draws := found.Importance.Union
	return []reports.TailMethod{
		{
			Name: "importance sampling", Probability: &draws, Value: draws.Value, Evaluations: found.Importance.Evaluations,
			Note: fmt.Sprintf("%.0f effective draws", found.Importance.EffectiveDraws),
		},
		secondSearch(found.Check),
		firstOrder(found),
	}
}

// distinct leaves out design points that are nearly in the direction of a more
// likely one of the same event: to a reader they are one way.
func distinct(points []rare.DesignPoint) (kept []rare.DesignPoint) {
	for _, p := range points {
		same := func(q rare.DesignPoint) bool {
			return p.Event == q.Event && floats.Dot(p.U, q.U) > 0.9*floats.Norm(p.U, 2)*floats.Norm(q.U, 2)
		}
		if !slices.ContainsFunc(kept, same) {
			kept = append(kept, p)
		}
	}
	return kept
}

// tailInputs are the inputs at a design point, most important first.
func tailInputs(s *study.Study, state *tail.State, p rare.DesignPoint) []reports.TailInput {
	variables, values := state.Inputs().Variables(), state.Values(p.U)
	own := ownValues(s, values)
	importance, set := setImportance(state.Inputs(), p.Importance())
	var list []reports.TailInput
	for i, v := range variables {
		in, deviation := s.Input(v.Input), v.Dist.StdDev()
		shown := reports.TailInput{
			Input: v.Input, Instance: strings.TrimPrefix(strings.TrimPrefix(v.Name, v.Input), "/"),
			Level: v.Level.String(), Knowledge: v.Knowledge, Unit: in.Parameter.Unit,
			Shown: ShownUnit(own[i], in.Parameter.Unit, in.Unit),
			Value: own[i], Median: v.Dist.Quantile(0.5), StdDev: deviation,
			Score: dist.NormalScore(v.Dist, values[i]), Importance: importance[i], Set: set[i],
		}
		list = append(list, shown)
	}
	slices.SortStableFunc(list, func(a, b reports.TailInput) int { return cmp.Compare(b.Importance, a.Importance) })
	return list
}

// ownValues are values of the variables as a card has them.
func ownValues(s *study.Study, values []float64) (own []float64) {
	model, err := s.Model()
	if err != nil {
		return values // wired before, it cannot be refused here
	}
	var columns [][]float64
	for _, v := range values {
		columns = append(columns, []float64{v})
	}
	for _, column := range model.Values(columns) {
		own = append(own, column[0])
	}
	return own
}

// setImportance gives every variable of a correlated set the importance of the
// set, and the set's number from 1: its coordinates in the normal space mix them.
func setImportance(inputs *sim.Inputs, own []float64) (importance []float64, set []int) {
	importance, set = slices.Clone(own), make([]int, len(own))
	for n, members := range inputs.CorrelatedSets() {
		sum := 0.0
		for _, i := range members {
			sum += own[i]
		}
		for _, i := range members {
			importance[i], set[i] = sum, n+1
		}
	}
	return importance, set
}

func secondSearch(c rare.Check) reports.TailMethod {
	m := reports.TailMethod{Name: "second search", Value: math.NaN(), Evaluations: c.Evaluations, Note: "none"}
	if c.Searches > 1 {
		m.Note = fmt.Sprintf("from %d failures: its ways carry %.0f %% of the estimate; of those the first search knew %.0f %%", c.Walks, 100*c.Again, 100*c.Known)
	}
	return m
}

// firstOrder is the approximation from the design points, not available without one.
func firstOrder(found rare.Result) reports.TailMethod {
	m := reports.TailMethod{Name: "first order", Value: found.FirstOrder, Note: "approximation, no error bound"}
	if len(found.DesignPoints) == 0 {
		m.Value, m.Note = math.NaN(), "no design point found"
	}
	return m
}
