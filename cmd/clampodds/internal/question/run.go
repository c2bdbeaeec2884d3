package question

import (
	"context"
	"errors"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/decide"
)

// Progress starts to show how far a run is, and returns what shows it and what clears it.
// The zero value shows nothing.
type Progress func(what string) (show func(done, total int64), clear func())

func (p Progress) start(what string) (show func(done, total int64), clear func()) {
	if p == nil {
		return nil, func() {}
	}
	return p(what)
}

// Doing is (*sim.Run).Execute or another method of its kind.
type Doing func(*sim.Run, context.Context) (*sim.Result, error)

// Counting asks how often the cards of a study exceed its limits, by counting.
type Counting struct {
	Sampling
	Until    Until
	Progress Progress
	// Execute does the run, if set: for who wants each draw as well.
	Execute func(ctx context.Context, run *sim.Run, do Doing) (*sim.Result, error)
}

// Counted is a run with all that is reported of it.
type Counted struct {
	Found    *sim.Result
	Result   reports.Run
	Verdicts []sim.Verdict // of the decision, and undecided where a goal was missed
}

// Stop says that an interrupt came before the decision: what was counted is shown, and decides nothing.
func (c *Counted) Stop() {
	c.Result.Provenance.Complete = false
	c.Result.Decision, c.Result.Mission, c.Result.Knowledge = nil, nil, nil
	for i := range c.Result.Requirements {
		if q := &c.Result.Requirements[i]; q.Target > 0 {
			q.Verdict = sim.Undecided.String()
		}
	}
}

// drawnOf is what is drawn of a study, in the plural: what the progress counts.
func drawnOf(s *study.Study) string {
	if s.Chassis != nil {
		return "chassis"
	}
	return "cards"
}

// Count runs a study as it is written. The run comes with it, for a decision on the same
// terms.
func (c *Counting) Count(ctx context.Context, s *study.Study) (*Counted, *sim.Run, error) {
	one, err := Scenario(s, s.Title)
	if err != nil {
		return nil, nil, err
	}
	run := c.Run(s, one)
	goal, err := c.Until.goal(s, one.Model)
	if err != nil {
		return nil, nil, err
	}
	show, clear := c.Progress.start(drawnOf(s))
	run.Progress = show
	do, execute := goal.run(c.Sampling), c.Execute
	if execute == nil {
		execute = func(ctx context.Context, run *sim.Run, do Doing) (*sim.Result, error) { return do(run, ctx) }
	}
	found, err := execute(ctx, run, do)
	clear()
	if err != nil {
		return nil, nil, err
	}
	done := &Counted{Found: found, Result: Run(s, found)}
	return done, run, goal.conclude(ctx, c, run, done)
}

// fullPercentiles are shown of temperatures, fewPercentiles of the rest.
var (
	fullPercentiles = []float64{0.01, 0.05, 0.5, 0.95, 0.99, 0.999}
	fewPercentiles  = []float64{0.05, 0.5, 0.95}
)

// Run converts a run for the reports.
func Run(s *study.Study, found *sim.Result) reports.Run {
	one := found.Scenarios[0]
	r := reports.Run{Schema: reports.RunSchema, Provenance: sampled(s, found), Warnings: found.Warnings, Distribution: temperatureDistribution(s, one, found.Rows)}
	for i, q := range one.Requirements {
		r.Requirements = append(r.Requirements, requirement(&s.Limits[i], q))
	}
	for _, q := range one.Quantities {
		kind, _, _ := strings.Cut(q.Output.Name, ".")
		if s.Chassis != nil {
			kind = ofChassis(q.Output.Name)
		}
		switch kind {
		case "edge", "component":
			r.Temperatures = append(r.Temperatures, quantity(s, q, fullPercentiles))
		case "share":
			r.HeatShares = append(r.HeatShares, quantity(s, q, fewPercentiles))
		case "resistance":
			r.Resistances = append(r.Resistances, quantity(s, q, fewPercentiles))
		case "force":
			r.Forces = append(r.Forces, quantity(s, q, fewPercentiles))
		case "utilisation":
			r.Utilisations = append(r.Utilisations, quantity(s, q, fullPercentiles))
		}
	}
	for _, e := range one.Events {
		name, ofAny := strings.CutPrefix(e.Name, study.AnyCard+"/")
		if s.Chassis != nil && !ofAny {
			continue
		}
		shown := reports.Event{Name: name, Label: reports.Label(name), PerCard: e.PerRow(), PerChassis: e.PerGroup()}
		if misfits[name] {
			r.Misfits = append(r.Misfits, shown)
		} else {
			r.RangeOfUse = append(r.RangeOfUse, shown)
		}
	}
	return r
}

// ofChassis is the kind of an output of a chassis that is shown: temperatures.
func ofChassis(output string) string {
	slot, name, _ := strings.Cut(output, "/")
	switch {
	case slot == study.AnyCard:
		return ""
	case output == "chassis/rise", name == "wall.temperature", name == "edge.spot", strings.HasPrefix(name, "component."):
		return "edge"
	}
	return ""
}

// misfits are the outcomes of a card that is not clamped as it should be; the
// other events are about the range of the correlations.
var misfits = map[string]bool{"event.no_entry": true, "event.no_travel": true, "event.unclamped": true, "event.jammed": true}

// sampled is the provenance of a run.
func sampled(s *study.Study, found *sim.Result) reports.Provenance {
	p := Provenance(s)
	p.Seed, p.Samples, p.Chassis = found.Seed, found.Rows, found.Groups
	p.Plan, p.Confidence, p.Complete = found.Sampler, found.Confidence, found.Complete
	return p
}

func quantity(s *study.Study, q sim.Quantity, percentiles []float64) reports.Quantity {
	unit := q.Output.Unit
	r := reports.Quantity{Name: q.Output.Name, Label: reports.Label(q.Output.Name), Unit: unit}
	for _, p := range percentiles {
		r.Percentiles = append(r.Percentiles, reports.Percentile{Probability: p, Estimate: q.Percentile(p)})
	}
	r.Shown = ShownUnit(r.Percentiles[len(percentiles)/2].Value, unit, typedUnit(s, unit))
	return r
}

func requirement(l *study.Limit, q sim.RequirementResult) reports.Requirement {
	return reports.Requirement{
		Name: l.Name, Label: reports.Label(l.Output), Quantity: l.Output, Limit: l.Max, Unit: string(l.Quantity),
		Shown: ShownUnit(l.Max, string(l.Quantity), l.Unit), Target: l.Target,
		PerCard: q.Exceeded.PerRow(), PerChassis: q.Exceeded.PerGroup(),
		Verdict: q.Verdict().String(), Trace: q.Trace(),
	}
}

// addRecords puts the numbers of record in the place of the counts of the cards that are shown.
func (r *Counted) addRecords(records []decide.Record) {
	for i, record := range records {
		if record.Verdict == sim.NoTarget {
			continue // nothing was judged: the count stands
		}
		q := &r.Result.Requirements[i]
		counted, narrower := q.PerCard, reports.CountedNarrower*(q.PerCard.High-q.PerCard.Low) <= record.Mean.High-record.Mean.Low
		if narrower || r.Result.Until.Of(q.Name) {
			q.Counted = &counted
		}
		q.PerCard, q.Verdict = record.Mean, record.Verdict.String()
	}
}

// addKnowledge keeps apart what is not known, in the conditions that are judged.
func (r *Counted) addKnowledge(mission *decide.Mission) {
	for k := range r.Result.Requirements {
		q := &r.Result.Requirements[k]
		for i, member := range mission.Members {
			record := mission.Records[i][k]
			u := record.Unknown
			if u == nil {
				continue
			}
			r.Result.Knowledge = append(r.Result.Knowledge, reports.Unknown{
				Name: q.Name, Label: q.Label, Condition: member.Name, Mixed: record.Mean, Median: u.Median, Below: record.Bound,
				Confidence: u.Confidence, Inputs: u.Inputs, Evaluations: u.Evaluations,
				Spread: u.Spread, Misfit: u.Misfit,
			})
			for _, w := range u.Warnings {
				r.Result.Warnings = append(r.Result.Warnings, reports.Warning{Code: w.Code, Text: q.Label + ", " + member.Name + ": " + w.Text})
			}
		}
	}
}

// Running asks how hot a card runs: counted as the study is written, decided by the numbers of record, and
// shown under its conditions.
type Running struct {
	Counting
	// WithoutConditions leaves out those of the study, WithoutKnowledge that lack of knowledge is kept apart.
	WithoutConditions, WithoutKnowledge bool
	// ShowsConditions says that the cards under the conditions are counted, if the study has any.
	ShowsConditions bool
	// UnderConditions is what was counted of them already: Execute may set it.
	UnderConditions *sim.Result
}

// Ask runs a study. What an interrupt ended is counted, and not decided: where that is the decision, it
// returns what was counted beside the error.
func (r *Running) Ask(ctx context.Context, s *study.Study) (*Counted, error) {
	done, run, err := r.Count(ctx, s)
	if err != nil || !done.Found.Complete {
		return done, err
	}
	conditions, err := r.conditions(s, run, done.Found.Rows)
	if err != nil {
		return done, err
	}
	// The cards under the conditions are counted while it is decided.
	var mission *decide.Mission
	var found *sim.Result
	var failed [2]error
	_ = batch.Each(context.Background(), r.Workers, len(failed), func(task int) error {
		if task == 0 {
			mission, failed[task] = r.judge(ctx, s, *run, done.Result.SoFar())
		} else if conditions != nil {
			found, failed[task] = r.underConditions(ctx, conditions)
		}
		return nil
	})
	if failed[0] != nil {
		return done, failed[0]
	}
	done.addRecords(mission.Records[0])
	done.addKnowledge(mission)
	decision, verdict := decided(s, mission, run.Confidence)
	done.Result.Decision = decision
	decision.Counted = r.Until.counts(s, decision)
	if r.WithoutKnowledge {
		done.Result.Decision.Policy = "predictive"
	}
	done.Verdicts = append(done.Verdicts, verdict)
	if found != nil {
		done.Result.Mission = conditions.Show(found, mission)
	}
	return done, failed[1]
}

// judge decides by the numbers of record, with what was counted in sight.
func (r *Running) judge(ctx context.Context, s *study.Study, run sim.Run, counted string) (*decide.Mission, error) {
	show, clear := r.Progress.start(drawnOf(s) + " for the verdict (" + counted + ")")
	defer clear()
	setup := decide.Setup{Run: run, Events: Events(s), Evaluations: TailEvaluations}
	setup.Run.Progress = show
	if r.WithoutKnowledge {
		setup.Policy = decide.Predictive
	}
	m, err := Judge(ctx, setup, s, !r.WithoutConditions)
	if errors.Is(err, decide.ErrStopped) {
		err = ErrInterrupted
	}
	return m, err
}

// conditions are those beside a run of so many rows; nil where they are not shown.
func (r *Running) conditions(s *study.Study, run *sim.Run, rows int64) (*Conditions, error) {
	if !r.ShowsConditions {
		return nil, nil
	}
	return newConditions(s, run, rows)
}

func (r *Running) underConditions(ctx context.Context, conditions *Conditions) (*sim.Result, error) {
	if r.UnderConditions != nil {
		return r.UnderConditions, nil
	}
	return conditions.Count(ctx)
}
