package question

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/drivers"
	"clampodds/sim/rare"
	"clampodds/sim/sensitivity"
	"clampodds/sim/tail"
)

// driversPercentile is the percentile whose moves are shown.
const driversPercentile = 0.99

// Drivers estimates the probability of exceeding the limit asked for and finds what
// drives it and the spread, from samples of the given number of cards. No target is judged:
// the verdict is met where the probability is established, else undecided.
func (q Exceedance) Drivers(ctx context.Context, s *study.Study, rows int) (r reports.Drivers, verdict sim.Verdict, err error) {
	limit, state, err := q.State(s)
	if err != nil {
		return r, verdict, err
	}
	var record *sim.Estimate
	parts := []func() error{
		func() (err error) { record, err = q.asWritten(ctx, s, limit); return err },
		func() error {
			return untilInterrupted(ctx, func() error {
				found, err := q.estimate(ctx, s, limit, state)
				if err != nil {
					return err
				}
				verdict = established(found)
				r, err = q.drivers(s, limit, state, found, rows)
				return err
			})
		},
	}
	err = batch.Each(ctx, q.Workers, len(parts), func(i int) error { return parts[i]() })
	r.Record, r.ByDefault = record, q.byDefault(s)
	return r, verdict, err
}

// byDefault are the flags that would look at something else of the study, and were not given: which limit and which condition decide is
// told by the numbers of record of the whole mission, which take as long as all that drivers does.
func (q Exceedance) byDefault(s *study.Study) (flags []string) {
	if q.Limit == "" && len(s.Limits) > 1 {
		flags = append(flags, "--limit")
	}
	if s.ConditionName == "" && len(s.Conditions) > 0 {
		flags = append(flags, "--condition")
	}
	return flags
}

// asWritten is the number of record of a limit of the study as written, where it has a target.
func (q Exceedance) asWritten(ctx context.Context, s *study.Study, limit *study.Limit) (*sim.Estimate, error) {
	if limit.Target == 0 || q.record != nil {
		return q.record, nil
	}
	one, err := Scenario(s.WithLimit(*limit), s.Title)
	if err != nil {
		return nil, err
	}
	one.Requirements = onlyNamed(one.Requirements, limit.Name)
	setup := ofRecord(q.recordSetup(s), s)
	record, err := setup.Record(ctx, one, 0)
	return &record.Mean, err
}

// drivers analyses a limit of which found is known.
func (q Exceedance) drivers(s *study.Study, l *study.Limit, state *tail.State, found rare.Result, rows int) (reports.Drivers, error) {
	one, err := Scenario(s, s.Title)
	if err != nil {
		return reports.Drivers{}, err
	}
	a, err := drivers.New(one, drivers.Options{Output: l.Output, Rows: rows, Seed: q.seed(s), Workers: q.Workers, Level: s.Run.Confidence})
	if err != nil {
		return reports.Drivers{}, err
	}
	r := newDrivers(s, l, a, found)
	spread, err := a.Spread()
	var withoutValue *sensitivity.NotFiniteError
	switch {
	case errors.As(err, &withoutValue):
		r.Warnings = append(r.Warnings, reports.Warning{Code: "without-value", Text: "shares of the spread are left out: " + err.Error()})
	case err != nil:
		return reports.Drivers{}, err
	default:
		addSpread(&r, a, spread)
	}
	moved, err := a.Percentiles(driversPercentile)
	if err != nil {
		return reports.Drivers{}, err
	}
	addPercentiles(&r, moved)
	if !r.Established || found.Probability.Value == 0 {
		r.Warnings = append(r.Warnings, reports.Warning{Code: "no-exceedance", Text: "what drives the exceedance is left out: " + string(found.Evidence)})
		return r, nil
	}
	e, err := a.Exceedance(state.Events(), found)
	if err != nil {
		return reports.Drivers{}, err
	}
	addExceedance(&r, a, e)
	return r, nil
}

// newDrivers converts what is known before the analysis for the reports.
func newDrivers(s *study.Study, l *study.Limit, a *drivers.Analysis, found rare.Result) reports.Drivers {
	difference := l.Quantity.Difference()
	r := reports.Drivers{
		Schema: reports.DriversSchema, Provenance: Provenance(s), Seed: a.Seed, Rows: a.Rows, Evaluations: int64(found.Evaluations), Level: a.Level,
		Label: reports.Label(l.Output), Quantity: l.Output, Unit: string(l.Quantity),
		Shown: ShownUnit(l.Max, string(l.Quantity), l.Unit), Difference: ShownUnit(1, string(difference), l.Unit),
		Limit: l.Max, Target: l.Target, Established: found.Established(), Agreement: string(found.Evidence),
		Probability: found.Probability, ByMaker: byMaker(s),
	}
	for _, in := range a.Inputs() {
		d := s.Input(in.Name)
		deviation := d.Dist.StdDev()
		r.Inputs = append(r.Inputs, reports.Driver{
			Input: in.Name, Level: in.Level.String(), Knowledge: in.Knowledge, Unit: d.Parameter.Unit, StdDev: deviation,
			DeviationText: deviationText(deviation, d),
		})
	}
	return r
}

func deviationText(deviation float64, in *study.Input) string {
	shown := ShownUnit(deviation, string(in.Quantity().Difference()), in.Unit)
	value := shown.Of(deviation)
	return reports.Unit{Label: shown.Label, Of: func(float64) float64 {
		digits := math.Pow(10, 1-math.Floor(math.Log10(value)))
		return math.Round(value*digits) / digits
	}}.Text(deviation)
}

func addSpread(r *reports.Drivers, a *drivers.Analysis, s drivers.Spread) {
	r.Evaluations += s.Evaluations
	r.StdDev = math.Sqrt(s.Variance.Mean)
	for _, share := range s.Shares {
		shown := reports.DriverShare{
			Level: a.Inputs()[share.Inputs[0]].Level.String(), Knowledge: a.Inputs()[share.Inputs[0]].Knowledge,
			First: reports.DriverInterval{Value: share.First.Mean, Interval: share.First.Interval, Indistinguishable: share.Indistinguishable},
			Total: reports.DriverInterval{Value: share.Total.Mean, Interval: share.Total.Interval, Indistinguishable: share.Indistinguishable},
		}
		for _, k := range share.Inputs {
			shown.Inputs = append(shown.Inputs, a.Inputs()[k].Name)
		}
		for _, m := range share.Members {
			shown.Members = append(shown.Members, reports.DriverMember{
				Input: m.Name, Share: reports.DriverInterval{Value: m.Share.Mean, Interval: m.Share.Interval, Indistinguishable: m.Indistinguishable},
			})
		}
		r.Spread = append(r.Spread, shown)
	}
}

func addPercentiles(r *reports.Drivers, p drivers.Percentiles) {
	r.Evaluations += p.Evaluations
	r.Percentile, r.Before = p.Probability, p.Before
	for k := range r.Inputs {
		for c, change := range drivers.Changes() {
			r.Inputs[k].Changes = append(r.Inputs[k].Changes, reports.DriverChange{
				Change: change.String(), Moved: reports.DriverInterval(p.Moved[k][c]),
			})
		}
	}
	slices.SortStableFunc(r.Inputs, func(x, y reports.Driver) int {
		return cmp.Compare(math.Abs(y.Changes[3].Moved.Value), math.Abs(x.Changes[3].Moved.Value))
	})
}

func addExceedance(r *reports.Drivers, a *drivers.Analysis, e drivers.Exceedance) {
	r.Evaluations += e.Evaluations
	r.Exceeding, r.EffectiveDraws = e.Failures, e.EffectiveDraws
	if e.EffectiveDraws < sensitivity.LeastEffective {
		r.Warnings = append(r.Warnings, reports.Warning{Code: "few-draws", Text: "few draws exceeded: the factors are rough and there are no slopes; give more --samples"})
	}
	for k, in := range a.Inputs() {
		at := slices.IndexFunc(r.Inputs, func(d reports.Driver) bool { return d.Input == in.Name })
		d := &r.Inputs[at]
		for c := range d.Changes {
			d.Changes[c].Factor = (*reports.DriverInterval)(&e.Factors[k][c])
		}
		slopes := e.Slopes[k]
		if slopes.Err != nil {
			d.NoSlope = slopes.Err.Error()
			continue
		}
		d.MeanSlope, d.StdDevSlope = relative(slopes.Mean, slopes.Deviation/e.Probability), relative(slopes.StdDev, slopes.Deviation/e.Probability)
	}
	// By what fixing the input brings, or else moving it.
	effect := func(d reports.Driver) float64 {
		largest := 0.0
		for _, c := range d.Changes {
			if !c.Factor.Indistinguishable {
				largest = max(largest, math.Abs(math.Log(max(c.Factor.Value, 1e-300))))
			}
		}
		return largest
	}
	slices.SortStableFunc(r.Inputs, func(x, y reports.Driver) int { return cmp.Compare(effect(y), effect(x)) })
}

func relative(e sensitivity.Estimate, by float64) *reports.DriverInterval {
	scaled := e.Times(by)
	return &reports.DriverInterval{Value: e.Value * by, Interval: scaled, Indistinguishable: scaled.Contains(0)}
}
