package question

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// Comparison is a comparison with the studies it is about.
type Comparison struct {
	decide.Compare
	Studies []*study.Study
}

// newComparison checks that studies can be compared and wires them.
func newComparison(studies []*study.Study, by string) (*Comparison, error) {
	c := &Comparison{Studies: studies}
	for _, s := range studies {
		if err := checkComparable(studies[0], s); err != nil {
			return nil, err
		}
		one, err := Scenario(s, s.Name)
		if err != nil {
			return nil, err
		}
		c.Scenarios = append(c.Scenarios, one)
	}
	l, err := Limit(studies[0], by)
	if err != nil {
		return nil, err
	}
	c.By, c.Outputs = l.Name, sharedOutputs(c.Scenarios)
	return c, nil
}

// Ask ranks the designs by the numbers of record, in the condition that decides, and decides on each in every
// condition. The outcome is that of the best one, if it is told apart.
func (c *Comparison) Ask(ctx context.Context) (r reports.Compare, best sim.Verdict, err error) {
	c.Missions, c.Accuracy = nil, accuracyOf(c.Studies[0])
	for _, s := range c.Studies {
		mission, err := Judge(ctx, c.Setup, s, true)
		if err != nil {
			return r, 0, err
		}
		c.Missions = append(c.Missions, mission)
	}
	judged, asked := c.Studies, c.Studies[0].ConditionName
	if err = c.move(c.deciding()); err != nil {
		return r, 0, err
	}
	if r, err = c.ranked(ctx); err != nil {
		return r, 0, err
	}
	r.Condition, r.Provenance.Condition = c.Condition, asked
	for i, mission := range c.Missions {
		results := &r.Designs[i].Results
		results.Decision, _ = decided(judged[i], mission, c.Run.Confidence)
		for _, record := range mission.Records[mission.MemberNamed(c.Condition)] {
			at := slices.IndexFunc(results.Requirements, func(q reports.Requirement) bool { return q.Name == record.Requirement.Name })
			if at >= 0 && record.Verdict != sim.NoTarget {
				results.Requirements[at].PerCard, results.Requirements[at].Verdict = record.Mean, record.Verdict.String()
			}
		}
	}
	if best = c.Missions[r.Ranking[0].Design].Verdict; r.Verdict == sim.Undecided.String() {
		best = sim.All(best, sim.Undecided)
	}
	return r, best, nil
}

// deciding is the condition in which the requirement of the ranking is decided, of the design that exceeds it most
// often there, or comes nearest to that; that of the studies as they are where it has no target, or not all designs are judged there.
func (c *Comparison) deciding() string {
	name := c.Missions[0].Members[0].Name
	var most *decide.Mission
	var at decide.Place
	for _, m := range c.Missions {
		p := m.WorstOf(slices.IndexFunc(m.Members[0].Requirements, func(q sim.Requirement) bool { return q.Name == c.By }))
		if p.Member < 0 || most != nil && !m.Further(p, most, at) || slices.ContainsFunc(c.Missions, func(other *decide.Mission) bool { return other.MemberNamed(m.Members[p.Member].Name) < 0 }) {
			continue
		}
		name, most, at = m.Members[p.Member].Name, m, p
	}
	return name
}

// move takes the designs to a condition of their missions.
func (c *Comparison) move(condition string) (err error) {
	if c.Condition = condition; condition == c.Missions[0].Members[0].Name {
		return nil
	}
	c.Studies = slices.Clone(c.Studies)
	for i, s := range c.Studies {
		if c.Studies[i], err = s.Condition(condition); err != nil {
			return err
		}
		if c.Scenarios[i], err = Scenario(c.Studies[i], s.Name); err != nil {
			return err
		}
	}
	c.Outputs = sharedOutputs(c.Scenarios)
	return nil
}

// sharedOutputs are the quantities that all designs have.
func sharedOutputs(scenarios []sim.Scenario) (names []string) {
	count := map[string]int{}
	for _, s := range scenarios {
		for _, o := range s.Model.Outputs() {
			if count[o.Name]++; count[o.Name] == len(scenarios) && o.Bin > 0 && !strings.HasPrefix(o.Name, "fit.") {
				names = append(names, o.Name)
			}
		}
	}
	return names
}

// ranked compares the studies as they are, for the reports.
func (c *Comparison) ranked(ctx context.Context) (reports.Compare, error) {
	found, err := c.Rank(ctx)
	if err != nil {
		return reports.Compare{}, err
	}
	by, err := Limit(c.Studies[0], c.By)
	if err != nil {
		return reports.Compare{}, err
	}
	r := reports.Compare{
		Schema: reports.CompareSchema, Provenance: decidedRun(c.Studies[0], found.Run), Verdict: "yes",
		By: fmt.Sprintf("%s above %s", reports.Label(by.Output), by.Format(by.Max)), Requirement: by.Name, Warnings: slices.Concat(found.Run.Warnings, studyWarnings(c.Studies[1:]...)),
	}
	for i, s := range c.Studies {
		r.Designs = append(r.Designs, design(s, i, by, found))
	}
	for _, rank := range found.Ranking {
		r.Ranking = append(r.Ranking, reports.CompareRank{
			Design: rank.Design, Place: rank.Place, Probability: rank.Estimate, Tail: rank.Tail, Over: reports.Difference(rank.Over), Worse: rank.Worse,
		})
	}
	if slices.ContainsFunc(found.Ranking[1:], func(rank decide.Rank) bool { return !rank.Worse }) {
		r.Verdict = "undecided"
	}
	for _, o := range found.Others {
		r.Others = append(r.Others, other(c.Studies[0], by, o))
	}
	if len(found.Inputs) > 0 {
		last := c.Studies[found.Ranking[len(found.Ranking)-1].Design]
		input := InputShare(last, found.Inputs[0])
		r.RestsOn = &input
	}
	return r, nil
}

// design converts the results of one design for the reports.
func design(s *study.Study, i int, by *study.Limit, found *decide.Comparison) reports.CompareDesign {
	one := *found.Run
	one.Scenarios, one.Warnings = found.Run.Scenarios[i:i+1], nil
	shared := *s // with the limits that all have, as the run has them
	shared.Limits = nil
	for _, q := range found.Requirements {
		if l, err := Limit(s, q.Name); err == nil {
			shared.Limits = append(shared.Limits, *l)
		}
	}
	d := reports.CompareDesign{Named: Named(s), Results: Run(&shared, &one)}
	d.Margin, d.Step = margin(by, one.Scenarios[0])
	return d
}

// margin is the limit less what is exceeded with the target's probability, or in
// one card of a hundred without a target.
func margin(l *study.Limit, found sim.ScenarioResult) (reports.Estimate, reports.Unit) {
	share := l.Target
	if share == 0 {
		share = 0.01
	}
	unit := differenceUnit(l.Max, string(l.Quantity), l.Unit)
	for _, q := range found.Quantities {
		if q.Output.Name != l.Output {
			continue
		}
		e := q.Percentile(1 - share)
		e.Value, e.Low, e.High = l.Max-e.Value, l.Max-e.High, l.Max-e.Low
		return e, unit
	}
	return reports.Estimate{}, unit
}

// other converts what a design changes for the reports.
func other(s *study.Study, by *study.Limit, o decide.StepChange) reports.CompareOther {
	r := reports.CompareOther{Shifts: Shifts(s, o.Outputs)}
	for _, d := range o.Differences {
		r.Differences = append(r.Differences, reports.Difference(d))
	}
	for _, shift := range r.Shifts {
		if shift.Statistic == "mean" || shift.Name == by.Output {
			r.Main = append(r.Main, shift)
		}
	}
	return r
}

// checkComparable refuses studies that ask for different things.
func checkComparable(first, other *study.Study) error {
	if (first.Chassis == nil) != (other.Chassis == nil) {
		return fmt.Errorf("%s and %s: one is the study of a chassis with its slots, the other of a card", first.Name, other.Name)
	}
	if a, b := first.Run.CardsPerChassis, other.Run.CardsPerChassis; a != b {
		return fmt.Errorf("%s has %d cards in a chassis and %s %d: they cannot share draws", first.Name, a, other.Name, b)
	}
	if a, b := first.Verdict, other.Verdict; a.Predictive != b.Predictive || a.Accuracy != b.Accuracy || !slices.Equal(a.Assumed, b.Assumed) {
		return fmt.Errorf("[verdict] differs between %s and %s: another rule is not a change of the design", first.Name, other.Name)
	}
	if keys := study.KnownApart(first, other); len(keys) > 0 {
		return fmt.Errorf("%s: not known, and stated differently in %s and %s; what one knows better is no better part: let both know it (calibrate --also)", strings.Join(keys, ", "), first.Name, other.Name)
	}
	for i := range first.Limits {
		a := &first.Limits[i]
		for j := range other.Limits {
			b := &other.Limits[j]
			switch {
			case a.Name != b.Name:
			case a.Max != b.Max:
				return fmt.Errorf("the limits differ: %s is %s in %s:%d and %s in %s:%d; a moved limit is not a change of the design", a.Name, a.Typed, a.File, a.Line, b.Typed, b.File, b.Line)
			case a.Target != b.Target:
				return fmt.Errorf("the targets differ: that of %s is %g in %s:%d and %g in %s:%d", a.Name, a.Target, a.File, a.Line, b.Target, b.File, b.Line)
			}
		}
	}
	return nil
}

// neededCount is a number of samples; what is out of reach is infinite.
func neededCount(n int64) float64 {
	if n == math.MaxInt64 {
		return math.Inf(1)
	}
	return float64(n)
}

// Shifts converts the differences of statistics for the reports.
func Shifts(s *study.Study, list []decide.OutputChange) (all []reports.Shift) {
	for _, c := range list {
		unit := c.Output.Unit
		like := typedUnit(s, unit)
		all = append(all, reports.Shift{
			Name: c.Output.Name, Label: reports.Label(c.Output.Name), Unit: unit, Statistic: c.Statistic,
			Shown: ShownUnit(c.First, unit, like), Step: differenceUnit(c.First, unit, like),
			First: c.First, Other: c.Other, Value: c.Difference.Mean,
			Interval: c.Difference.Interval, Level: c.Difference.Level,
			Replicates: c.Difference.Count, WidthRatio: c.WidthRatio,
		})
	}
	return all
}

// differenceUnit is the unit of a difference of values that are shown in the unit
// chosen for a typical one.
func differenceUnit(typical float64, unit, like string) reports.Unit {
	q := units.Quantity(unit)
	if q != units.Temperature {
		return ShownUnit(typical, unit, like)
	}
	if fahrenheit, _ := units.Shown(typical, q, like); fahrenheit == "°F" {
		like = "ddegF"
	} else {
		like = "dK"
	}
	return ShownUnit(1, string(q.Difference()), like)
}

// decidedRun is the provenance of what a run decided.
func decidedRun(s *study.Study, found *sim.Result) reports.Provenance {
	p := sampled(s, found)
	p.Complete = true
	return p
}

// InputShare is an input in words with its share of the way to an exceedance.
func InputShare(s *study.Study, share decide.Share) reports.InputShare {
	r := reports.InputShare{Key: share.Input, Share: share.Value}
	if in := s.Input(share.Input); in != nil {
		r.Meaning, r.Words, r.Source = in.Parameter.Meaning, in.InWords(), in.Source
	}
	return r
}

// Named is a study by its name.
func Named(s *study.Study) reports.Named {
	return reports.Named{Study: s.Name, Title: s.Title, Digest: s.Digest}
}

// WarningsOf gathers the warnings of estimates by their requirement.
func WarningsOf(label string, estimates ...sim.Estimate) (all []reports.Warning) {
	for _, e := range estimates {
		for _, w := range e.Warnings {
			switch w.Code {
			case decide.NotEstablished, decide.StricterLimit, sim.FewClusters:
				all = append(all, reports.Warning{Code: w.Code, Text: fmt.Sprintf("%s: %s", label, w.Text)})
			}
		}
	}
	return all
}
