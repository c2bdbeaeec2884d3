package question

import (
	"context"
	"errors"
	"slices"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/acceptance"
	"clampodds/sim/decide"
	"clampodds/sim/loosen"
)

// plan finds the smallest plan of each side that needs one, and the one sample that serves
// both. Without a plan the verdict is no.
func (a *Audit) plan(ctx context.Context, search *loosen.Search, r *reports.Audit) error {
	sides := a.sidesToPlan(r.Sides)
	var kinds []acceptance.LotRisks
	for _, side := range sides {
		if side.Cases[side.Used].Breaking <= a.Acceptable {
			r.Verdict = sim.NotMet.Answer()
			return nil
		}
		kinds = append(kinds, a.risks(side))
	}
	if len(kinds) == 0 {
		return nil
	}
	common, err := acceptance.CommonPlans(kinds, a.ProducersRisk)
	if errors.Is(err, acceptance.ErrNoPlan) {
		r.Verdict = sim.NotMet.Answer()
		return nil
	}
	if err != nil {
		return err
	}
	r.Sample = common[0].Sample()
	for i, side := range sides {
		described := describedPlan(common[i], kinds[i])
		side.Plan, r.Refused = &described, r.Refused+described.Refused
		if err := plansOf(side, kinds[i]); err != nil {
			return err
		}
	}
	for i := range r.Sides {
		if err := a.characteristic(ctx, search, &a.sides[i], &r.Sides[i]); err != nil {
			return err
		}
	}
	return nil
}

// risks are those that the plan of a side has to keep.
func (a *Audit) risks(side *reports.AuditSide) acceptance.LotRisks {
	return acceptance.LotRisks{
		Lot: a.Lot, Good: a.Acceptable, Producer: a.ProducersRisk, Poor: side.Cases[side.Used].Breaking, Consumer: a.ConsumersRisk,
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

// plansOf lists the plans of one side with small acceptance numbers, the smallest that also
// passes good lots among them.
func plansOf(side *reports.AuditSide, risks acceptance.LotRisks) error {
	side.Chosen = -1
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
	move, err := a.screwsAt(search, s.torques[s.used])
	if err != nil {
		return err
	}
	c := side.Cases[side.Used]
	lots := a.qualities(c.Breaking, c.BreakingLimits())
	side.Lots = make([]reports.AuditLot, len(lots))
	return sideBySide(ctx, search.Run.Workers, len(lots), nil, func(i int) error {
		share := float64(lots[i]) / float64(a.Lot)
		at := search.Base.At(s.decides)
		if lots[i] > 0 {
			if at, err = search.RecordAt(ctx, move, share, s.decides); err != nil {
				return err
			}
		}
		if lots[i] > 0 && lots[i] == c.BreakingLimits() {
			side.Edge = atBreaking(search, at)
		}
		side.Lots[i] = reports.AuditLot{
			Outside: lots[i], Share: share, PerCard: at.Mean,
			Accepted: chosen.ProbabilityMisread(a.Lot, lots[i], acceptance.Misreadings{Passed: side.Passed, Failed: side.Failed}),
		}
		return nil
	})
}

// atBreaking is what a breaking lot does to the limit.
func atBreaking(search *loosen.Search, r decide.Record) *reports.AuditEdge {
	e := &reports.AuditEdge{
		Verdict: r.Verdict.String(), Wanting: wanting(r.Want), PerCard: r.Mean, Target: r.Requirement.Target,
		SettledBy: (*reports.Settling)(r.SettledBy(search.Accuracy, study.FinestAccuracy)),
	}
	if r.Unknown != nil {
		e.WithConfidence = &r.Bound
	}
	return e
}

// qualities are the numbers of screws outside that the operating characteristic is shown for.
func (a *Audit) qualities(breaking, byLimits int64) []int64 {
	list := []int64{0, a.Acceptable, breaking / 4, breaking / 2, breaking, 2 * breaking, 4 * breaking, byLimits}
	slices.Sort(list)
	list = slices.Compact(list)
	return slices.DeleteFunc(list, func(n int64) bool { return n > a.Lot })
}

// find looks how many screws outside the band a lot can bear, on either side, and for the
// plans. Where lack of knowledge alone keeps the mission from being met, that is averaged over.
func (a *Audit) find(ctx context.Context, read *study.Study, search *loosen.Search, show func(done, total int64)) (reports.Audit, sim.Verdict, error) {
	torque := read.Input(TorqueKey)
	decision, verdict := decided(read, search.Base, search.Run.Confidence)
	decision.BelowLeast, decision.AboveMost = nil, nil // the band leaves none there
	r := reports.Audit{
		Schema: reports.AuditSchema, Provenance: recordProvenance(read, search.Setup), Decision: *decision,
		Requirements: worstOfEach(read, search.Base),
		Lot:          a.Lot, ConsumersRisk: a.ConsumersRisk, Acceptable: a.Acceptable, ProducersRisk: a.ProducersRisk,
		BandLow: a.low, BandHigh: a.high, BandText: a.bandText(torque), Verdict: verdict.Answer(), Gauge: a.Reading.described(torque),
	}
	if a.most > 0 {
		r.Most, r.MostText, r.StudyAboveMost = a.most, torque.Format(a.most), torque.Dist.Survival(a.most)
	}
	if a.least > 0 {
		r.Least, r.LeastText, r.StudyBelowLeast = a.least, torque.Format(a.least), torque.Dist.CDF(a.least)
	}
	average, err := onAverage(ctx, search, search.Accuracy, 0)
	if err != nil {
		return r, verdict, err
	}
	if average != nil {
		search, r.OnAverage = average, true
	}
	for i := range a.sides {
		r.Sides = append(r.Sides, a.described(torque, &a.sides[i]))
	}
	if search.Base.Verdict == sim.Met && nominalNotAllowed(read) == "" { // what the scatter takes beyond, the band leaves out
		if err := a.assumeAll(ctx, search, torque, r.Sides, show); err != nil {
			return r, verdict, err
		}
		if err := a.plan(ctx, search, &r); err != nil {
			return r, verdict, err
		}
	}
	r.Answer = a.answer(&r)
	return r, verdict, nil
}

func (a *Audit) described(torque *study.Input, s *auditSide) reports.AuditSide {
	m := a.Reading.misreadings(s, s.torques[s.used], a.band)
	return reports.AuditSide{
		Name: s.name, Upper: s.upper, Reads: s.reads, ReadsText: torque.Format(s.reads), Used: s.used, Passed: m.Passed, Failed: m.Failed,
	}
}

// assume finds, for a torque of a screw beyond a side, up to which number of such screws in a lot the mission is met, and
// what decides there.
func (a *Audit) assume(ctx context.Context, search *loosen.Search, beyond float64) (c reports.AuditCase, decides decide.Place, err error) {
	c = reports.AuditCase{Torque: beyond, MetTo: reports.Position{State: "open"}}
	move, err := a.screwsAt(search, beyond)
	if err != nil {
		return c, decides, err
	}
	if a.most > 0 && beyond > a.most {
		members, err := search.At(move, 1)
		if err != nil {
			return c, decides, err
		}
		all, err := search.Shortfall(ctx, members)
		if err != nil {
			return c, decides, err
		}
		c.All, c.AboveMost, c.MetTo, c.Breaking = all.At(all.Worst).Mean, true, reports.Position{State: "never"}, 1
		decides = all.Worst
	} else {
		w, err := search.Window(ctx, move)
		if err != nil {
			return c, decides, err
		}
		e := w.Upper
		c.All, decides = e.Far.At(e.Far.Worst).Mean, e.Far.Worst
		if e.State != decide.Open {
			decides = e.Place
			c.MetTo, c.Beyond, c.Breaking = position(e), e.Record.Verdict.String(), a.breaking(e.Met)
		}
		if beyond < a.least { // no number of them that a sample lets through is allowed
			c.BelowLeast, c.ByLimits, c.Breaking = true, c.Breaking, 1
		}
	}
	if c.Breaking > 0 {
		c.First, c.Condition = search.Members[decides.Member].Requirements[decides.Requirement].Name, search.Members[decides.Member].Name
	}
	return c, decides, nil
}

// assumeAll does so for each torque of each side.
func (a *Audit) assumeAll(ctx context.Context, search *loosen.Search, torque *study.Input, list []reports.AuditSide, show func(done, total int64)) error {
	type task struct{ side, torque int }
	var tasks []task
	for i, s := range a.sides {
		list[i].Cases = make([]reports.AuditCase, len(s.torques))
		for k := range s.torques {
			tasks = append(tasks, task{i, k})
		}
	}
	return sideBySide(ctx, search.Run.Workers, len(tasks), show, func(i int) error {
		t := tasks[i]
		s := &a.sides[t.side]
		c, decides, err := a.assume(ctx, search, s.torques[t.torque])
		c.TorqueText = torque.Format(c.Torque)
		list[t.side].Cases[t.torque] = c
		if t.torque == s.used {
			s.decides = decides
		}
		return err
	})
}

// screwsAt moves screws of a lot to a torque.
func (a *Audit) screwsAt(search *loosen.Search, torque float64) (loosen.Move, error) {
	fixed, err := dist.NewFixed(torque)
	if err != nil {
		return loosen.Move{}, err
	}
	return loosen.ReplaceShare(search.Members[0].Inputs, TorqueKey, fixed, a.Lot)
}
