package question

import (
	"context"
	"math"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// profile is a mission: the conditions of a study and, where their shares leave
// time for it, the study as written.
type profile struct {
	members   []reports.MissionMember
	scenarios []sim.Scenario
	judged    *decide.Mission
}

// AsWritten is the member that is the study itself.
const AsWritten = "as written"

// newProfile wires the conditions of a study; nil without any.
func newProfile(read *study.Study) (*profile, error) {
	if len(read.Conditions) == 0 {
		return nil, nil
	}
	var p profile
	shares := 0.0
	for _, c := range read.Conditions {
		shares += c.Share
	}
	const rounding = 1e-9 // 0.1 + 0.2 + 0.7
	if rest := 1 - shares; rest > rounding {
		member := reports.MissionMember{Name: AsWritten, Share: math.NaN()}
		if shares > 0 {
			member.Share = rest
		}
		if err := p.add(member, read); err != nil {
			return nil, err
		}
	}
	for _, c := range read.Conditions {
		derived, err := read.Condition(c.Name)
		if err != nil {
			return nil, err
		}
		member := reports.MissionMember{Name: c.Name, Share: math.NaN(), Changed: c.Replaced, Informative: c.Informative}
		if c.Share > 0 {
			member.Share = c.Share
		}
		if err := p.add(member, derived); err != nil {
			return nil, err
		}
	}
	return &p, nil
}

func (p *profile) add(member reports.MissionMember, s *study.Study) error {
	one, err := Scenario(s, member.Name)
	p.members, p.scenarios = append(p.members, member), append(p.scenarios, one)
	return err
}

// UnderConditions shows a study's conditions: the numbers of record of those that are
// judged; counts, on the draws of a run that is done, of those that are only shown, and
// of cards that exceed a limit in any of them. It is nil for a study without.
func UnderConditions(ctx context.Context, read *study.Study, m Sampling, done *sim.Result, judged *decide.Mission, progress Progress) (*reports.Mission, error) {
	p, err := newProfile(read)
	if err != nil || p == nil {
		return nil, err
	}
	p.judged = judged
	show, clear := progress.start("cards under conditions")
	defer clear()
	return p.run(ctx, read, m, p.rows(done.Rows), show)
}

// rows is the number of cards that each member gets: all together take about as
// many evaluations as the run, but each has fewest cards, or as many as the run.
func (p *profile) rows(run int64) int64 {
	const fewest = 10_000
	return max(run/int64(len(p.members)), min(run, fewest))
}

// run evaluates the members on common draws, those of the run of the study as
// written.
func (p *profile) run(ctx context.Context, read *study.Study, m Sampling, rows int64, show func(done, total int64)) (*reports.Mission, error) {
	run := m.Run(read, p.scenarios...)
	run.Samples, run.LimitsOnly, run.Progress = rows, true, show
	found, err := run.Execute(ctx)
	if err != nil {
		return nil, err
	}
	if !found.Complete {
		return nil, ErrInterrupted
	}
	mission := &reports.Mission{Members: p.members, Cards: found.Rows}
	for i := range read.Limits {
		mission.Requirements = append(mission.Requirements, p.requirement(found, &read.Limits[i], i))
	}
	return mission, nil
}

// record is what was judged of a requirement in a member; false where it is only
// shown.
func (p *profile) record(member string, requirement int) (decide.Record, bool) {
	for i, m := range p.judged.Members {
		if m.Name == member {
			return p.judged.Records[i][requirement], true
		}
	}
	return decide.Record{}, false
}

// requirement gathers one limit over the members.
func (p *profile) requirement(found *sim.Result, l *study.Limit, at int) reports.MissionRequirement {
	r := reports.MissionRequirement{
		Name: l.Name, Label: reports.Label(l.Output), Target: math.NaN(),
		Ever: found.InAny[at].PerRow(), EverPerChassis: found.InAny[at].PerGroup(),
	}
	if l.Target > 0 {
		r.Target = l.Target
	}
	var verdicts []sim.Verdict
	var estimates []sim.Estimate
	worst := 0.0
	for i, s := range found.Scenarios {
		e, verdict := s.Requirements[at].Exceeded.PerRow(), s.Requirements[at].Verdict()
		if record, ok := p.record(p.members[i].Name, at); ok && record.Verdict != sim.NoTarget {
			e, verdict = record.Mean, record.Verdict
		}
		if !p.members[i].Informative {
			verdicts = append(verdicts, verdict)
		}
		r.Conditions = append(r.Conditions, reports.Judged{PerCard: e, Verdict: verdict.String()})
		if e.Value > worst {
			worst, r.Worst = e.Value, p.members[i].Name
		}
		estimates = append(estimates, e)
	}
	if weighted, ok := p.weighted(estimates); ok {
		r.TimeWeighted = &reports.Judged{PerCard: weighted, Verdict: sim.Judge(weighted, l.Target).String()}
	}
	r.Verdict = inEvery(verdicts).String()
	return r
}

// inEvery is the verdict of all conditions together.
func inEvery(verdicts []sim.Verdict) sim.Verdict {
	together := sim.Met
	for _, v := range verdicts {
		switch {
		case v == sim.NoTarget || v == sim.NotMet:
			return v
		case v == sim.Undecided:
			together = v
		}
	}
	return together
}

// weighted is the mean over time of a probability. The estimates come from the
// same draws. The standard deviation of a sum is at most the sum of the standard
// deviations, however the terms depend on one another, so that the weighted sum
// of the intervals is an interval of at least their level.
func (p *profile) weighted(estimates []sim.Estimate) (sim.Estimate, bool) {
	sum := sim.Estimate{Level: estimates[0].Level, Achieved: estimates[0].Achieved, EffectiveN: math.Inf(1), Method: "weighted sum of intervals"}
	shares := false
	for i, e := range estimates {
		share := p.members[i].Share
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
