package question

import (
	"context"
	"fmt"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/loosen"
)

// find looks how many screws outside the band a lot can bear, on either side, and for the
// plans. Where lack of knowledge alone keeps the mission from being met, that is averaged over.
func (a *Audit) find(ctx context.Context, read *study.Study, search *loosen.Search, show func(done, total int64)) (reports.Audit, error) {
	torque := read.Input(TorqueKey)
	low, high := a.band.Support()
	r := reports.Audit{
		Schema: reports.AuditSchema, Provenance: recordProvenance(read, search.Setup), Decision: *NewDecision(read, search.Base, search.Run.Confidence),
		Requirements: worstOfEach(read, search.Base),
		Lot:          a.Lot, ConsumersRisk: a.ConsumersRisk, Acceptable: a.Acceptable, ProducersRisk: a.ProducersRisk,
		BandLow: low, BandHigh: high, BandText: band(torque, a.band), Verdict: search.Base.Verdict.Answer(), Gauge: a.Reading.described(torque),
	}
	average, err := onAverage(ctx, search)
	if err != nil {
		return r, err
	}
	if average != nil {
		search, r.OnAverage = average, true
	}
	for i := range a.sides {
		if show != nil {
			show(int64(i), int64(len(a.sides)))
		}
		side := a.described(torque, &a.sides[i])
		if search.Base.Verdict == sim.Met {
			if err := a.assume(ctx, search, torque, &a.sides[i], &side); err != nil {
				return r, err
			}
		}
		r.Sides = append(r.Sides, side)
	}
	if search.Base.Verdict == sim.Met {
		if err := a.plan(ctx, search, &r); err != nil {
			return r, err
		}
	}
	r.Answer = a.answer(&r)
	return r, nil
}

func (a *Audit) described(torque *study.Input, s *auditSide) reports.AuditSide {
	m := a.Reading.misreadings(s, s.torques[s.used], a.band)
	return reports.AuditSide{
		Name: s.name, Upper: s.upper, Reads: s.reads, ReadsText: torque.Format(s.reads), Used: s.used, Passed: m.Passed, Failed: m.Failed,
	}
}

// assume finds, for each torque of a screw beyond a side, the share of such screws up to
// which the mission is met.
func (a *Audit) assume(ctx context.Context, search *loosen.Search, torque *study.Input, s *auditSide, r *reports.AuditSide) error {
	for _, beyond := range s.torques {
		move, err := screwsAt(search, beyond)
		if err != nil {
			return err
		}
		members, err := search.At(move, 1)
		if err != nil {
			return err
		}
		all, err := search.Shortfall(ctx, members)
		if err != nil {
			return err
		}
		c := reports.AuditCase{Torque: beyond, TorqueText: torque.Format(beyond), All: all.At(all.Worst).Mean, MetTo: reports.Position{State: "open"}}
		if all.Verdict != sim.Met {
			w, err := search.Window(ctx, move)
			if err != nil {
				return err
			}
			e := w.Upper
			c.MetTo, c.First, c.Condition, c.Beyond = position(e), e.Record.Requirement.Name, members[e.Place.Member].Name, e.Record.Verdict.String()
			c.Breaking = a.breaking(e.Met)
		}
		r.Cases = append(r.Cases, c)
	}
	return nil
}

// screwsAt moves a share of the screws to a torque.
func screwsAt(search *loosen.Search, torque float64) (loosen.Move, error) {
	fixed, err := dist.NewFixed(torque)
	if err != nil {
		return loosen.Move{}, err
	}
	return loosen.ReplaceShare(search.Members[0].Inputs, TorqueKey, fixed)
}

// answer says the plan in a sentence, behind the verdict where that is no yes.
func (a *Audit) answer(r *reports.Audit) string {
	switch {
	case r.Decision.Verdict == sim.NotMet.String():
		return "No: a limit is missed with every screw inside the band, and no audit can keep it."
	case r.Decision.Verdict == sim.Undecided.String() && !r.OnAverage:
		return "Undecided: it is open whether the limits are met with every screw inside the band, and an audit cannot decide that."
	case r.OnAverage:
		return "Undecided: what is not known leaves it open whether the limits are met with every screw inside the band. Averaged over that, " + a.planned(r)
	case r.Verdict == sim.NotMet.Answer():
		return "No: " + a.planned(r)
	}
	return "Yes: " + a.planned(r)
}

// planned says the plan, or why there is none.
func (a *Audit) planned(r *reports.Audit) string {
	sides := sidesToPlan(r.Sides)
	if len(sides) == 0 {
		var torques []string
		for _, s := range r.Sides {
			torques = append(torques, s.Cases[s.Used].TorqueText)
		}
		return fmt.Sprintf("no audit is needed, even with every screw at %s every limit is met.", strings.Join(torques, ", or at "))
	}
	for _, s := range sides {
		switch c := s.Cases[s.Used]; {
		case c.Breaking <= a.Acceptable:
			return fmt.Sprintf("a lot with %d %s screws is to pass, and %d may break the limit %s already.", a.Acceptable, s.Name, c.Breaking, c.First)
		case s.Plan == nil || r.Sample == 0:
			return fmt.Sprintf("by readings with this error no number of them tells a lot with %d %s screws from one with %d.", c.Breaking, s.Name, a.Acceptable)
		}
	}
	var allowed, caught []string
	for _, s := range sides {
		number := "none"
		if s.Plan.Accept > 0 {
			number = fmt.Sprintf("at most %d", s.Plan.Accept)
		}
		where := "below "
		if s.Upper {
			where = "above "
		}
		allowed = append(allowed, number+" "+where+s.ReadsText)
		caught = append(caught, fmt.Sprintf("%d or more %s screws", s.Cases[s.Used].Breaking, s.Name))
	}
	reads := ""
	if r.Gauge != nil {
		reads = " as read"
	}
	return fmt.Sprintf("read %d of %d screws and accept the lot only with %s%s. A lot with %s may break a limit, and is caught with a chance of %s %% or more.",
		r.Sample, a.Lot, strings.Join(allowed, " and "), reads, strings.Join(caught, ", or "), reports.Plain(100*(1-a.ConsumersRisk)))
}
