package question

import (
	"context"
	"math"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// Conditions are the cards of a study under its conditions and, where their shares leave time for it,
// as it is written.
type Conditions struct {
	read    *study.Study
	members []reports.MissionMember
	run     sim.Run // on common draws
}

// AsWritten is the member that is the study itself.
const AsWritten = study.AsWritten

// newConditions sets up those that go with a run of the study as written, which has so many rows: on
// the draws of that run. It is nil for a study without conditions.
func newConditions(read *study.Study, written *sim.Run, rows int64) (*Conditions, error) {
	if len(read.Conditions) == 0 {
		return nil, nil
	}
	c := &Conditions{read: read, run: sim.Run{
		Sampler: written.Sampler, Seed: written.Seed, Workers: written.Workers, Confidence: written.Confidence, LimitsOnly: true,
	}}
	shares := 0.0
	for _, one := range read.Conditions {
		shares += one.Share
	}
	const rounding = 1e-9 // 0.1 + 0.2 + 0.7
	if rest := 1 - shares; rest > rounding {
		member := reports.MissionMember{Name: AsWritten, Share: math.NaN()}
		if shares > 0 {
			member.Share = rest
		}
		if err := c.add(member, read); err != nil {
			return nil, err
		}
	}
	for _, one := range read.Conditions {
		derived, err := read.Condition(one.Name)
		if err != nil {
			return nil, err
		}
		member := reports.MissionMember{Name: one.Name, Share: math.NaN(), Changed: one.Replaced, Informative: one.Informative}
		if one.Share > 0 {
			member.Share = one.Share
		}
		if err := c.add(member, derived); err != nil {
			return nil, err
		}
	}
	c.run.Samples = c.rows(rows)
	return c, c.spare()
}

func (c *Conditions) add(member reports.MissionMember, s *study.Study) error {
	one, err := Scenario(s, member.Name)
	c.members, c.run.Scenarios = append(c.members, member), append(c.run.Scenarios, one)
	return err
}

// rows is the number of cards that each member gets: all together take about as
// many evaluations as the run, but each has fewest cards, or as many as the run.
func (c *Conditions) rows(run int64) int64 {
	const fewest = 10_000
	return max(run/int64(len(c.members)), min(run, fewest))
}

// Count evaluates them.
func (c *Conditions) Count(ctx context.Context) (*sim.Result, error) {
	found, err := c.run.Execute(ctx)
	if err == nil && !found.Complete {
		err = ErrInterrupted
	}
	return found, err
}

// Show shows what was counted: the numbers of record of the conditions that are judged; counts of those that
// are only shown, and of cards that exceed a limit in any of them.
func (c *Conditions) Show(found *sim.Result, judged *decide.Mission) *reports.Mission {
	mission := &reports.Mission{Members: c.members, Cards: found.Rows, Chassis: found.Groups}
	for i := range c.read.Limits {
		mission.Requirements = append(mission.Requirements, c.requirement(found, judged, &c.read.Limits[i], i))
	}
	return mission
}

// recordOf is what was judged of a requirement in a member; false where it is only
// shown.
func recordOf(judged *decide.Mission, member string, requirement int) (decide.Record, bool) {
	for i, m := range judged.Members {
		if m.Name == member {
			return judged.Records[i][requirement], true
		}
	}
	return decide.Record{}, false
}

// requirement gathers one limit over the members.
func (c *Conditions) requirement(found *sim.Result, judged *decide.Mission, l *study.Limit, at int) reports.MissionRequirement {
	r := reports.MissionRequirement{
		Name: l.Name, Label: reports.Label(l.Output), Target: math.NaN(),
		Ever: found.InAny[at].PerRow(), EverPerChassis: found.InAny[at].PerGroup(),
	}
	if l.Target > 0 {
		r.Target = l.Target
	}
	var estimates []sim.Estimate
	largest := 0.0
	for i, s := range found.Scenarios {
		e, verdict := s.Requirements[at].Exceeded.PerRow(), s.Requirements[at].Verdict()
		if record, ok := recordOf(judged, c.members[i].Name, at); ok && record.Verdict != sim.NoTarget {
			e, verdict = record.Mean, record.Verdict
		}
		r.Conditions = append(r.Conditions, reports.Judged{PerCard: e, Verdict: verdict.String()})
		if e.Value > largest {
			largest, r.Worst = e.Value, c.members[i].Name
		}
		estimates = append(estimates, e)
	}
	if weighted, ok := c.weighted(estimates); ok {
		r.TimeWeighted = &weighted
	}
	r.Ever, r.EverPerChassis = atLeast(r.Ever, estimates), atLeast(r.EverPerChassis, estimates)
	worst := judged.WorstOf(at)
	if r.Verdict = sim.NoTarget.String(); worst.Member < 0 {
		return r
	}
	if r.Verdict = judged.At(worst).Verdict.String(); len(judged.Alike(worst))+1 < len(judged.Members) {
		r.Deciding = judged.Members[worst.Member].Name
	}
	return r
}

// atLeast raises the estimate of what happens in any condition, and its low end, to those of the worst one, which is
// often of many more cards: it is at least as likely as in each.
func atLeast(ever sim.Estimate, conditions []sim.Estimate) sim.Estimate {
	for _, e := range conditions {
		ever.Value, ever.Low, ever.High = max(ever.Value, e.Value), max(ever.Low, e.Low), max(ever.High, e.Value)
	}
	return ever
}

// weighted is the mean over time of a probability. The estimates come from the
// same draws. The standard deviation of a sum is at most the sum of the standard
// deviations, however the terms depend on one another, so that the weighted sum
// of the intervals is an interval of at least their level.
func (c *Conditions) weighted(estimates []sim.Estimate) (sim.Estimate, bool) {
	sum := sim.Estimate{Level: estimates[0].Level, Achieved: estimates[0].Achieved, EffectiveN: math.Inf(1), Method: "weighted sum of intervals"}
	shares := false
	for i, e := range estimates {
		share := c.members[i].Share
		if !(share > 0) {
			continue
		}
		shares = true
		sum.Value += share * e.Value
		sum.Low += share * e.Low
		sum.High += share * e.High
		sum.Count, sum.N = sum.Count+e.Count, sum.N+e.N
		sum.EffectiveN = math.Min(sum.EffectiveN, e.EffectiveN)
	}
	return sum, shares
}
