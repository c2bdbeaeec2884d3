package main

import (
	"cmp"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// judged is one requirement in one condition, with what its verdict follows from.
type judged struct {
	limit     *study.Limit
	condition string
	mean      sim.Estimate
	bound     sim.Estimate // over what is not known; the mean where that is not kept apart
	apart     bool
}

func (j *judged) verdict() (sim.Verdict, decide.Want) {
	return decide.Judge(j.limit.Target, j.mean, j.bound)
}

// worse orders by what is decided, and then by how far it lies from it.
func (j *judged) worse(other *judged) bool {
	rank := map[sim.Verdict]int{sim.NotMet: 3, sim.Undecided: 2, sim.Met: 1}
	a, _ := j.verdict()
	b, _ := other.verdict()
	strain := func(x *judged) float64 { return max(x.mean.High, x.bound.High) / x.limit.Target }
	return cmp.Or(cmp.Compare(rank[a], rank[b]), cmp.Compare(strain(j), strain(other))) > 0
}

// decide gathers what was judged into one decision.
func (r *ran) decide(s *study.Study) {
	d := &reports.Decision{Verdict: sim.NoTarget.String(), Policy: "confident", Assumed: s.Verdict.Assumed, Confidence: real(max(s.Run.Confidence, leastConfidence))}
	if s.Verdict.Predictive {
		d.Policy = "predictive"
	}
	r.result.Decision = d
	var worst *judged
	for i := range r.judged {
		j := &r.judged[i]
		if j.limit.Target == 0 {
			continue
		}
		d.Judged++
		if worst == nil || j.worse(worst) {
			worst = j
		}
	}
	if worst == nil {
		return
	}
	verdict, want := worst.verdict()
	r.verdicts = append(r.verdicts, verdict)
	l := worst.limit
	d.Verdict, d.Requirement, d.Condition, d.Target = verdict.String(), l.Name, worst.condition, real(l.Target)
	d.Label = label(l.Output) + " above " + shownUnit(l.Max, string(l.Quantity), l.Unit).Text(l.Max)
	d.PerCard = reports.NewEstimate(worst.mean)
	if worst.apart {
		bound := reports.NewEstimate(worst.bound)
		d.Bound = &bound
	}
	d.Wanting = map[decide.Want]string{decide.Cards: "cards", decide.Knowledge: "knowledge"}[want]
}
