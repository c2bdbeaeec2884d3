package question

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/acceptance"
	"clampodds/sim/loosen"
)

// find looks how many loose screws a lot can bear, and for the plans.
func (a *Audit) find(ctx context.Context, read *study.Study, search *loosen.Search, show func(done, total int64)) (reports.Audit, error) {
	torque := read.Input(TorqueKey)
	low, high := a.band.Support()
	r := reports.Audit{
		Schema: reports.AuditSchema, Provenance: searched(read, search), Requirement: pointRequirements(read, search, search.Base())[0],
		Lot: a.Lot, ConsumersRisk: a.ConsumersRisk, Acceptable: a.Acceptable, ProducersRisk: a.ProducersRisk, Used: a.used, Chosen: -1,
		BandLow: low, BandHigh: high, BandText: band(torque, a.band),
		Verdict: search.Base().Verdict().Answer(), Needed: search.Needed(search.Base()),
		Gauge: a.Reading.described(torque, a.Reading.misreadings(a.loose[a.used], a.band)),
	}
	var used loosen.Move
	for i, loose := range a.loose {
		if show != nil {
			show(int64(i), int64(len(a.loose)))
		}
		fixed, err := dist.NewFixed(loose)
		if err != nil {
			return r, err
		}
		move, err := loosen.ReplaceShare(search.Plan(), TorqueKey, fixed)
		if err != nil {
			return r, err
		}
		c, err := a.assume(ctx, search, move, loose)
		if err != nil {
			return r, err
		}
		c.Torque, c.TorqueText = loose, torque.Format(loose)
		r.Cases = append(r.Cases, c)
		if i == a.used {
			used = move
		}
	}
	if c := r.Cases[a.used]; c.Plan != nil {
		if err := a.plan(ctx, search, used, &r); err != nil {
			return r, err
		}
	}
	if c := r.Cases[a.used]; c.Breaking > 0 && c.Plan == nil {
		r.Verdict = sim.NotMet.Answer()
	}
	r.Answer = a.answer(torque, &r)
	return r, nil
}

// assume finds the share of loose screws at which the limit is missed, and the
// smallest plan.
func (a *Audit) assume(ctx context.Context, search *loosen.Search, move loosen.Move, loose float64) (reports.AuditCase, error) {
	w, err := search.Window(ctx, move)
	if err != nil {
		return reports.AuditCase{}, err
	}
	all, err := search.Evaluate(ctx, move, 1)
	if err != nil {
		return reports.AuditCase{}, err
	}
	end := w.Upper
	c := reports.AuditCase{
		AllLoose: all.Exceeded[0],
		Estimate: position(end.Estimate), Proven: position(end.Proven), Possible: position(end.Possible),
	}
	if end.Proven.State != loosen.Found {
		return c, nil
	}
	c.Breaking = a.breaking(end.Proven.At)
	if c.Breaking > a.Acceptable {
		risks := a.risks(c.Breaking, loose)
		plan, err := acceptance.SmallestPlanInLot(risks)
		if errors.Is(err, acceptance.ErrNoPlan) {
			return c, nil
		}
		if err != nil {
			return c, err
		}
		described := describedPlan(plan, risks)
		c.Plan = &described
	}
	return c, nil
}

// risks are those that a plan has to keep, with loose screws of such a torque.
func (a *Audit) risks(breaking int64, loose float64) acceptance.LotRisks {
	return acceptance.LotRisks{
		Lot: a.Lot, Good: a.Acceptable, Producer: a.ProducersRisk, Poor: breaking, Consumer: a.ConsumersRisk, Misread: a.Reading.misreadings(loose, a.band),
	}
}

func describedPlan(p acceptance.Plan, r acceptance.LotRisks) reports.AuditPlan {
	return reports.AuditPlan{
		Sample: p.Sample(), Accept: p.Accept(),
		Missed: p.ProbabilityMisread(r.Lot, r.Poor, r.Misread), Refused: max(0, 1-p.ProbabilityMisread(r.Lot, r.Good, r.Misread)),
	}
}

// fewAccepts is the number of acceptance numbers shown beside the recommended
// one.
const fewAccepts = 4

// plan lists the plans with small acceptance numbers and the operating
// characteristic of the recommended one.
func (a *Audit) plan(ctx context.Context, search *loosen.Search, move loosen.Move, r *reports.Audit) error {
	c := r.Cases[a.used]
	chosen, err := acceptance.NewPlan(c.Plan.Sample, c.Plan.Accept)
	if err != nil {
		return err
	}
	risks := a.risks(c.Breaking, a.loose[a.used])
	for accept := int64(0); accept < c.Breaking && (accept < fewAccepts || accept == chosen.Accept()); accept++ {
		p, err := acceptance.SmallestSampleInLot(risks, accept)
		if errors.Is(err, acceptance.ErrNoPlan) {
			break // nor with a larger number
		}
		if err != nil {
			return err
		}
		if p == chosen {
			r.Chosen = len(r.Plans)
		}
		r.Plans = append(r.Plans, describedPlan(p, risks))
	}
	if r.Chosen < 0 {
		r.Chosen = len(r.Plans)
		r.Plans = append(r.Plans, *c.Plan)
	}
	for _, loose := range a.qualities(c.Breaking) {
		share := float64(loose) / float64(a.Lot)
		at, err := search.Evaluate(ctx, move, share)
		if err != nil {
			return err
		}
		r.Lots = append(r.Lots, reports.AuditLot{
			Loose: loose, Share: share, Accepted: chosen.ProbabilityMisread(a.Lot, loose, risks.Misread), PerCard: at.Exceeded[0],
		})
	}
	return nil
}

// qualities are the numbers of loose screws that the operating characteristic is
// shown for.
func (a *Audit) qualities(breaking int64) []int64 {
	list := []int64{0, a.Acceptable, breaking / 4, breaking / 2, breaking, 2 * breaking, 4 * breaking}
	slices.Sort(list)
	list = slices.Compact(list)
	return slices.DeleteFunc(list, func(n int64) bool { return n > a.Lot })
}

// answer says the plan in a sentence.
func (a *Audit) answer(torque *study.Input, r *reports.Audit) string {
	c := r.Cases[a.used]
	low := torque.Format(a.Reading.limit)
	switch {
	case c.Breaking > a.Acceptable && c.Plan == nil:
		return fmt.Sprintf("No: by readings with this error no number of them tells a lot with %d loose screws from one with %d.", c.Breaking, a.Acceptable)
	case c.Breaking > 0 && c.Plan == nil:
		return fmt.Sprintf("No: a lot with %d loose screws is to pass, and %d may break the limit %s already.", a.Acceptable, c.Breaking, r.Requirement.Name)
	case r.Verdict == sim.NotMet.Answer():
		return fmt.Sprintf("No: the limit %s is missed with every screw inside the band; no audit can keep it.", r.Requirement.Name)
	case r.Verdict == sim.Undecided.Answer():
		return fmt.Sprintf("Undecided: these cards do not show whether the limit %s is met with every screw inside the band; at the rates seen about %s cards would decide.",
			r.Requirement.Name, reports.Samples(r.Needed))
	case c.Breaking == 0:
		return fmt.Sprintf("Yes, without an audit: even with every screw at %s the limit %s is met.", c.TorqueText, r.Requirement.Name)
	}
	allowed := "only if none is"
	if c.Plan.Accept > 0 {
		allowed = fmt.Sprintf("with at most %d", c.Plan.Accept)
	}
	if r.Gauge != nil {
		low += " as read"
	}
	return fmt.Sprintf("Yes: read %d of %d screws and accept the lot %s below %s. A lot with %d or more loose screws, which may break the limit %s, is then caught with a chance of %s %% or more.",
		c.Plan.Sample, a.Lot, allowed, low, c.Breaking, r.Requirement.Name, reports.Plain(100*(1-a.ConsumersRisk)))
}
