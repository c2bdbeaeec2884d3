package question

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/acceptance"
)

// answer says the plan in a sentence, behind the verdict.
func (a *Audit) answer(r *reports.Audit) string {
	text := strings.ToUpper(r.Verdict) + r.Decision.WithCaution() + ": "
	switch {
	case r.Decision.NotAllowed != "" && len(r.Sides[0].Cases) == 0:
		text += r.Decision.NotAllowed + ", and no audit makes it allowed: torque says whether another one holds."
	case r.Decision.NotAllowed != "":
		text += r.Decision.NotAllowed + "; " + r.Decision.Helps + ". With an allowed one, " + a.planned(r)
	case r.Decision.Verdict == sim.NotMet.String():
		text += "a limit is missed with every screw inside the band, and no audit can keep it."
	case r.OnAverage:
		text += "what is not known leaves it open whether the limits are met with every screw inside the band. Averaged over that, " + a.planned(r)
	case r.Decision.Verdict == sim.Undecided.String():
		text += "it is open whether the limits are met with every screw inside the band, and an audit cannot decide that."
	default:
		text += a.planned(r)
	}
	text += a.ofTheTool(r, false, r.StudyBelowLeast, "less than the "+r.LeastText, "begins")
	text += a.ofTheTool(r, true, r.StudyAboveMost, "more than the "+r.MostText, "ends")
	return text
}

// ofTheTool says how many screws the study's own torque takes beyond what the clamp maker allows, and what becomes of such lots.
func (a *Audit) ofTheTool(r *reports.Audit, upper bool, share float64, get, band string) string {
	if share == 0 {
		return ""
	}
	text := fmt.Sprintf(" By the torque of the study %s of the screws get %s that the clamp maker allows; the band %s there.", reports.Percent(share), get, band)
	at := slices.IndexFunc(r.Sides, func(s reports.AuditSide) bool { return s.Upper == upper && s.Plan != nil })
	some := int64(math.Round(share * float64(a.Lot)))
	if at < 0 || some == 0 || r.Gauge != nil { // a reading may well pass one that is hardly beyond
		return text
	}
	plan := dist.Must(acceptance.NewPlan(r.Sides[at].Plan.Sample, r.Sides[at].Plan.Accept)) // it was found
	chance := "more than 99.9 %"
	if refused := 1 - plan.ProbabilityMisread(a.Lot, some, acceptance.Misreadings{}); refused < 0.999 {
		chance = reports.Percent(refused)
	}
	return text + fmt.Sprintf(" A lot has about %d of those, and this audit refuses such a lot with a chance of %s.", some, chance)
}

// planned says the plan, or why there is none.
func (a *Audit) planned(r *reports.Audit) string {
	sides := a.sidesToPlan(r.Sides)
	if len(sides) == 0 {
		return "no audit is needed for the limits." + a.borne(r)
	}
	for _, s := range sides {
		switch c := s.Cases[s.Used]; {
		case c.ByMaker() && c.Breaking <= a.Acceptable:
			where, limit := makersSide(r, s)
			return fmt.Sprintf("a lot with %s is to pass, and one at %s is %s the %s that the clamp maker allows.", screws(a.Acceptable, s), c.TorqueText, where, limit)
		case c.Breaking <= a.Acceptable:
			return fmt.Sprintf("a lot with %s is to pass, and %d may break the limit %s already.", screws(a.Acceptable, s), c.Breaking, c.First)
		case s.Plan == nil || r.Sample == 0:
			return fmt.Sprintf("by readings with this error no number of them tells a lot with %s from one with %d.", screws(c.Breaking, s), a.Acceptable)
		}
	}
	byLimits := slices.DeleteFunc(slices.Clone(sides), func(s *reports.AuditSide) bool { return s.Cases[s.Used].ByMaker() })
	text := ""
	if len(byLimits) == 1 && len(sides) > 1 && byLimits[0].Chosen >= 0 {
		s := byLimits[0]
		alone := s.Plans[s.Chosen]
		where, limit := makersSide(r, otherSide(sides, s))
		text = a.reads(r, byLimits, alone.Sample, []reports.AuditPlan{alone}) +
			fmt.Sprintf(" So for the %s screws alone, which is what the limits ask. The clamp maker allows no screw %s %s; to catch one of those in a lot, too, ", s.Name, where, limit)
	}
	var plans []reports.AuditPlan
	for _, s := range sides {
		plans = append(plans, *s.Plan)
	}
	text += a.reads(r, sides, r.Sample, plans)
	if len(byLimits) == len(sides) && len(sides) > 1 {
		for _, s := range sides {
			if s.Chosen >= 0 && s.Plans[s.Chosen].Sample < r.Sample {
				alone := s.Plans[s.Chosen]
				text += fmt.Sprintf(" For the %s screws alone it is enough to read %d and accept with %s outside.", s.Name, alone.Sample, atMost(alone.Accept))
			}
		}
	}
	return text + a.byLimitsAlone(sides) + a.borne(r)
}

// atMost says how many screws may be outside.
func atMost(accept int64) string {
	if accept == 0 {
		return "none"
	}
	return fmt.Sprintf("at most %d", accept)
}

// reads says a plan of some sides.
func (a *Audit) reads(r *reports.Audit, sides []*reports.AuditSide, sample int64, plans []reports.AuditPlan) string {
	var allowed, caught []string
	why := "may break a limit"
	for i, s := range sides {
		number := atMost(plans[i].Accept)
		where, limit := makersSide(r, s)
		allowed = append(allowed, fmt.Sprintf("%s %s %s", number, where, s.ReadsText))
		c := s.Cases[s.Used]
		some := fmt.Sprintf("%d or more %s screws", c.Breaking, s.Name)
		if c.Breaking == 1 {
			some = "any " + s.Name + " screw"
		}
		one := some + fmt.Sprintf(", taken as %s,", c.TorqueText)
		if c.ByMaker() {
			one, why = one+fmt.Sprintf(" %s the %s that the clamp maker allows,", where, limit), "is not to pass"
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

// makersSide is which way a side lies, and the clamp maker's limit there.
func makersSide(r *reports.Audit, s *reports.AuditSide) (where, limit string) {
	if s.Upper {
		return "above", r.MostText
	}
	return "below", r.LeastText
}

// otherSide is that of two which is not this one.
func otherSide(sides []*reports.AuditSide, s *reports.AuditSide) *reports.AuditSide {
	if sides[0] == s {
		return sides[1]
	}
	return sides[0]
}

// byLimitsAlone says how many loose screws the targets would bear, which the clamp's maker does not allow.
func (a *Audit) byLimitsAlone(sides []*reports.AuditSide) (text string) {
	for _, s := range sides {
		switch c := s.Cases[s.Used]; {
		case !c.BelowLeast:
		case c.ByLimits == 0:
			text += fmt.Sprintf(" By the targets alone every screw of a lot might be as %s as %s; that is no reason to accept one.", s.Name, c.TorqueText)
		case c.ByLimits > 1:
			text += fmt.Sprintf(" By the targets alone a lot would bear %s of %s; that is no reason to accept one.", screws(c.ByLimits-1, s), c.TorqueText)
		}
	}
	return text
}

// borne says of each side without a plan what the limits bear, and which screws they do not.
func (a *Audit) borne(r *reports.Audit) (text string) {
	for _, s := range r.Sides {
		c := s.Cases[s.Used]
		if a.worthAPlan(c) {
			continue
		}
		if c.Breaking == 0 {
			text += fmt.Sprintf(" With every screw %s, at %s, every limit with a target is met.", s.Name, c.TorqueText)
		} else {
			text += fmt.Sprintf(" Up to %d of %d %s screws, taken as %s, break none; with %d, more than half of the lot, %s is %s, %s.",
				c.Breaking-1, a.Lot, s.Name, c.TorqueText, c.Breaking, c.First, c.Beyond, c.Condition)
		}
		if at := slices.IndexFunc(s.Cases, a.worthAPlan); at >= 0 {
			worse, why := s.Cases[at], "may break "+s.Cases[at].First
			switch {
			case worse.AboveMost:
				why = "is more than the clamp maker allows"
			case worse.BelowLeast:
				why = "is less than the clamp maker allows"
			}
			text += fmt.Sprintf(" But %d at %s %s: --%s plans for such.", worse.Breaking, worse.TorqueText, why, map[bool]string{false: "loose", true: "tight"}[s.Upper])
		}
	}
	return text
}
