package question

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

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
	lots := a.qualities(c.Breaking)
	side.Lots = make([]reports.AuditLot, len(lots))
	return sideBySide(ctx, search.Run.Workers, len(lots), nil, func(i int) error {
		share := float64(lots[i]) / float64(a.Lot)
		at := search.Base.At(s.decides)
		if lots[i] > 0 {
			if at, err = search.RecordAt(ctx, move, share, s.decides); err != nil {
				return err
			}
		}
		if lots[i] == c.Breaking && !c.AboveMost {
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
func (a *Audit) qualities(breaking int64) []int64 {
	list := []int64{0, a.Acceptable, breaking / 4, breaking / 2, breaking, 2 * breaking, 4 * breaking}
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
	if search.Base.Verdict == sim.Met && decision.NotAllowed == "" {
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

// answer says the plan in a sentence, behind the verdict.
func (a *Audit) answer(r *reports.Audit) string {
	text := strings.ToUpper(r.Verdict) + ": "
	switch {
	case r.Decision.NotAllowed != "":
		text += r.Decision.NotAllowed + ", and no audit makes it allowed: torque says whether another one holds."
	case r.Decision.Verdict == sim.NotMet.String():
		text += "a limit is missed with every screw inside the band, and no audit can keep it."
	case r.OnAverage:
		text += "what is not known leaves it open whether the limits are met with every screw inside the band. Averaged over that, " + a.planned(r)
	case r.Decision.Verdict == sim.Undecided.String():
		text += "it is open whether the limits are met with every screw inside the band, and an audit cannot decide that."
	default:
		text += a.planned(r)
	}
	if r.StudyBelowLeast > 0 {
		text += fmt.Sprintf(" By the torque of the study %s of the screws get less than the %s that the clamp maker allows; the band begins there.", reports.Percent(r.StudyBelowLeast), r.LeastText)
	}
	if r.StudyAboveMost > 0 {
		text += fmt.Sprintf(" By the torque of the study %s of the screws get more than the %s that the clamp maker allows; the band ends there.", reports.Percent(r.StudyAboveMost), r.MostText)
	}
	return text
}

// planned says the plan, or why there is none.
func (a *Audit) planned(r *reports.Audit) string {
	sides := a.sidesToPlan(r.Sides)
	if len(sides) == 0 {
		return "no audit is needed for the limits." + a.borne(r)
	}
	for _, s := range sides {
		switch c := s.Cases[s.Used]; {
		case c.AboveMost && c.Breaking <= a.Acceptable:
			return fmt.Sprintf("a lot with %s is to pass, and one at %s is above the %s that the clamp maker allows.", screws(a.Acceptable, s), c.TorqueText, r.MostText)
		case c.Breaking <= a.Acceptable:
			return fmt.Sprintf("a lot with %s is to pass, and %d may break the limit %s already.", screws(a.Acceptable, s), c.Breaking, c.First)
		case s.Plan == nil || r.Sample == 0:
			return fmt.Sprintf("by readings with this error no number of them tells a lot with %s from one with %d.", screws(c.Breaking, s), a.Acceptable)
		}
	}
	byLimits := slices.DeleteFunc(slices.Clone(sides), func(s *reports.AuditSide) bool { return s.Cases[s.Used].AboveMost })
	text := ""
	if len(byLimits) == 1 && len(sides) > 1 && byLimits[0].Chosen >= 0 {
		s := byLimits[0]
		alone := s.Plans[s.Chosen]
		text = a.reads(r, byLimits, alone.Sample, []reports.AuditPlan{alone}) + a.belowLeast(r, s) +
			fmt.Sprintf(" So for the %s screws alone, which is what the limits ask. The clamp maker allows no screw above %s; to catch one of those in a lot, too, ", s.Name, r.MostText)
	}
	var plans []reports.AuditPlan
	for _, s := range sides {
		plans = append(plans, *s.Plan)
	}
	text += a.reads(r, sides, r.Sample, plans)
	if len(sides) == 1 && !sides[0].Upper {
		text += a.belowLeast(r, sides[0])
	}
	return text + a.borne(r)
}

// reads says a plan of some sides.
func (a *Audit) reads(r *reports.Audit, sides []*reports.AuditSide, sample int64, plans []reports.AuditPlan) string {
	var allowed, caught []string
	why := "may break a limit"
	for i, s := range sides {
		number := "none"
		if plans[i].Accept > 0 {
			number = fmt.Sprintf("at most %d", plans[i].Accept)
		}
		where := "below "
		if s.Upper {
			where = "above "
		}
		allowed = append(allowed, number+" "+where+s.ReadsText)
		c := s.Cases[s.Used]
		some := fmt.Sprintf("%d or more %s screws", c.Breaking, s.Name)
		if c.Breaking == 1 {
			some = "any " + s.Name + " screw"
		}
		one := some + fmt.Sprintf(", taken as %s,", c.TorqueText)
		if c.AboveMost {
			one, why = one+fmt.Sprintf(" above the %s that the clamp maker allows,", r.MostText), "is not to pass"
		}
		caught = append(caught, one)
	}
	reads := ""
	if r.Gauge != nil {
		reads = " as read"
	}
	return fmt.Sprintf("read %d of %d screws and accept the lot only with %s%s. A lot with %s %s, and is caught with a chance of %s %% or more.",
		sample, a.Lot, strings.Join(allowed, " and "), reads, strings.Join(caught, " or "), why, reports.Plain(100*(1-a.ConsumersRisk)))
}

// screws is "1 loose screw", "3 over-tight screws".
func screws(n int64, s *reports.AuditSide) string { return reports.Counted(n, s.Name+" screw") }

// belowLeast says of loose screws whether the clamp maker allows them: the plan is by what they do to the limits.
func (a *Audit) belowLeast(r *reports.Audit, s *reports.AuditSide) string {
	if s.Upper || !(s.Cases[s.Used].Torque < a.least) {
		return ""
	}
	return fmt.Sprintf(" Such screws are below the %s that the clamp maker allows at least, of which one is too many: the plan is by what they do to the limits, and no sample shows that there is none.", r.LeastText)
}

// borne says of each side without a plan what the limits bear, and which screws they do not.
func (a *Audit) borne(r *reports.Audit) (text string) {
	for _, s := range r.Sides {
		c := s.Cases[s.Used]
		if a.worthAPlan(c) {
			continue
		}
		if c.Breaking == 0 {
			text += fmt.Sprintf(" With every screw %s, at %s, every limit is met.", s.Name, c.TorqueText)
		} else {
			text += fmt.Sprintf(" Up to %d of %d %s screws, taken as %s, break none, more than half of a lot; with %d, %s is %s, %s.",
				c.Breaking-1, a.Lot, s.Name, c.TorqueText, c.Breaking, c.First, c.Beyond, c.Condition)
		}
		if at := slices.IndexFunc(s.Cases, a.worthAPlan); at >= 0 {
			worse, why := s.Cases[at], "may break "+s.Cases[at].First
			if worse.AboveMost {
				why = "is more than the clamp maker allows"
			}
			text += fmt.Sprintf(" But %d at %s %s: --%s plans for such.", worse.Breaking, worse.TorqueText, why, map[bool]string{false: "loose", true: "tight"}[s.Upper])
		}
	}
	return text
}
