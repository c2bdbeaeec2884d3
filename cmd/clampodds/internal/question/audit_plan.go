package question

import (
	"context"
	"errors"
	"slices"

	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/acceptance"
	"clampodds/sim/decide"
	"clampodds/sim/loosen"
)

// plan finds the smallest plan of each side that needs one, and the one sample that serves
// both. Each side has an equal part of the producer's risk. Without a plan the verdict is no.
func (a *Audit) plan(ctx context.Context, search *loosen.Search, r *reports.Audit) error {
	sides := sidesToPlan(r.Sides)
	for _, side := range sides {
		err := a.plans(side, len(sides))
		if errors.Is(err, acceptance.ErrNoPlan) {
			r.Verdict = sim.NotMet.Answer()
			return nil
		}
		if err != nil {
			return err
		}
		r.Sample = max(r.Sample, side.Plans[side.Chosen].Sample)
	}
	if err := a.together(r, sides); err != nil || r.Sample == 0 {
		return err
	}
	for i := range r.Sides {
		if err := a.characteristic(ctx, search, &a.sides[i], &r.Sides[i]); err != nil {
			return err
		}
	}
	return nil
}

// together enlarges the sample until it serves every side; 0 where none is needed or none does.
func (a *Audit) together(r *reports.Audit, sides []*reports.AuditSide) error {
	const most = 1000
	for range most {
		fits := true
		for _, side := range sides {
			risks := a.risks(side, len(sides))
			p, ok, err := acceptance.PlanOfSample(risks, min(r.Sample, a.Lot))
			if err != nil {
				return err
			}
			if fits = fits && ok; ok {
				described := describedPlan(p, risks)
				side.Plan = &described
			}
		}
		if fits || r.Sample >= a.Lot {
			if !fits {
				r.Verdict, r.Sample = sim.NotMet.Answer(), 0
			}
			return nil
		}
		r.Sample++
	}
	r.Verdict, r.Sample = sim.NotMet.Answer(), 0
	return nil
}

// risks are those that the plan of a side has to keep, one of so many.
func (a *Audit) risks(side *reports.AuditSide, sides int) acceptance.LotRisks {
	return acceptance.LotRisks{
		Lot: a.Lot, Good: a.Acceptable, Producer: a.ProducersRisk / float64(sides), Poor: side.Cases[side.Used].Breaking, Consumer: a.ConsumersRisk,
		Misread: acceptance.Misreadings{Passed: side.Passed, Failed: side.Failed},
	}
}

func describedPlan(p acceptance.Plan, r acceptance.LotRisks) reports.AuditPlan {
	return reports.AuditPlan{
		Sample: p.Sample(), Accept: p.Accept(),
		Missed: p.ProbabilityMisread(r.Lot, r.Poor, r.Misread), Refused: max(0, 1-p.ProbabilityMisread(r.Lot, r.Good, r.Misread)),
	}
}

// fewAccepts is the number of acceptance numbers shown beside the smallest plan.
const fewAccepts = 4

// plans lists the plans of one side with small acceptance numbers, the smallest that also
// passes good lots among them.
func (a *Audit) plans(side *reports.AuditSide, sides int) error {
	side.Chosen = -1
	if side.Cases[side.Used].Breaking <= a.Acceptable {
		return acceptance.ErrNoPlan
	}
	risks := a.risks(side, sides)
	chosen, err := acceptance.SmallestPlanInLot(risks)
	if err != nil {
		return err
	}
	for accept := int64(0); accept < risks.Poor && (accept < fewAccepts || accept == chosen.Accept()); accept++ {
		p, err := acceptance.SmallestSampleInLot(risks, accept)
		if errors.Is(err, acceptance.ErrNoPlan) {
			break // nor with a larger number
		}
		if err != nil {
			return err
		}
		if p == chosen {
			side.Chosen = len(side.Plans)
		}
		side.Plans = append(side.Plans, describedPlan(p, risks))
	}
	if side.Chosen < 0 {
		side.Chosen = len(side.Plans)
		side.Plans = append(side.Plans, describedPlan(chosen, risks))
	}
	return nil
}

// characteristic is what the common sample passes by one side, and how often such cards
// exceed the limit that breaks first.
func (a *Audit) characteristic(ctx context.Context, search *loosen.Search, s *auditSide, side *reports.AuditSide) error {
	if side.Plan == nil {
		return nil
	}
	chosen, err := acceptance.NewPlan(side.Plan.Sample, side.Plan.Accept)
	if err != nil {
		return err
	}
	move, err := screwsAt(search, s.torques[s.used])
	if err != nil {
		return err
	}
	c := side.Cases[side.Used]
	member := slices.IndexFunc(search.Members, func(m decide.Member) bool { return m.Name == c.Condition })
	requirement := slices.IndexFunc(search.Members[member].Requirements, func(q sim.Requirement) bool { return q.Name == c.First })
	for _, beyond := range a.qualities(c.Breaking) {
		share := float64(beyond) / float64(a.Lot)
		members, err := search.At(move, share)
		if err != nil {
			return err
		}
		at, err := search.Record(ctx, members[member].Scenario, requirement)
		if err != nil {
			return err
		}
		side.Lots = append(side.Lots, reports.AuditLot{
			Outside: beyond, Share: share, PerCard: at.Mean,
			Accepted: chosen.ProbabilityMisread(a.Lot, beyond, acceptance.Misreadings{Passed: side.Passed, Failed: side.Failed}),
		})
	}
	return nil
}

// qualities are the numbers of screws outside that the operating characteristic is shown for.
func (a *Audit) qualities(breaking int64) []int64 {
	list := []int64{0, a.Acceptable, breaking / 4, breaking / 2, breaking, 2 * breaking, 4 * breaking}
	slices.Sort(list)
	list = slices.Compact(list)
	return slices.DeleteFunc(list, func(n int64) bool { return n > a.Lot })
}
