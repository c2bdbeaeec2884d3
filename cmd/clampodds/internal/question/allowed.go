package question

import (
	"math"
	"slices"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// screwsOfACard are its two edges'.
const screwsOfACard = 2

// unsaid stands in for the smallest target of a study that has none: the one that new writes for screw and thread.
const unsaid = 1e-3

// fewNotAllowed is the share of screws that may get what the clamp maker does not allow without a word. Targets are judged by
// numbers that are known to the accuracy of record, a tenth of themselves unless the study says otherwise. If every such screw were damage,
// both of a card together would still be lost in that of the smallest target, and could turn no verdict.
func fewNotAllowed(s *study.Study) float64 {
	smallest := 0.0
	for _, l := range s.Limits {
		if l.Target > 0 && (smallest == 0 || l.Target < smallest) {
			smallest = l.Target
		}
	}
	if smallest == 0 {
		smallest = unsaid
	}
	return accuracyOf(s) * smallest / screwsOfACard
}

// beyond is how many screws get less than the least, or more than the most, that the clamp maker allows, of the edge where they are
// most, and how many did before a change, if any; nil for few, or where nobody says.
func beyond(s, before *study.Study, below bool) *reports.ScrewsBeyond {
	limit := s.Tool.Most
	if below {
		limit = s.Tool.Least
	}
	share, in := shareBeyond(s, limit, below)
	if share <= fewNotAllowed(s) {
		return nil
	}
	r := &reports.ScrewsBeyond{Limit: limit, Share: share, Below: below, LimitText: in.Format(limit)}
	if before != nil {
		was, _ := shareBeyond(before, limit, below)
		r.Before = &was
	}
	low, high := in.Dist.Support()
	switch {
	case below:
		r.Reach = in.Format(max(low, in.Parameter.Low))
	case high < math.MaxFloat64:
		r.Reach = in.Format(high)
	}
	return r
}

// shareBeyond is the share of screws beyond a torque, and whose it is; none where the limit is 0.
func shareBeyond(s *study.Study, limit float64, below bool) (share float64, of *study.Input) {
	for i := range s.Inputs {
		in := &s.Inputs[i]
		if in.Parameter.Key != TorqueKey || in.Dist == nil || limit == 0 {
			continue
		}
		beyond := in.Dist.Survival(limit)
		if below {
			beyond = in.Dist.CDF(limit)
		}
		if beyond > share {
			share, of = beyond, in
		}
	}
	return share, of
}

// decided is NewDecision of a study at its own torque: the clamp's maker must allow that for it to be met.
func decided(s *study.Study, m *decide.Mission, confidence float64) (*reports.Decision, sim.Verdict) {
	d, verdict := NewDecision(s, m, confidence), m.Verdict
	at := slices.IndexFunc(s.Warnings, func(w study.Warning) bool { return w.Code == study.TorqueNotAllowed })
	if at >= 0 && verdict != sim.NoTarget {
		d.ByTargets, verdict = d.Verdict, sim.NotMet
		d.Verdict, d.NotAllowed = verdict.String(), "the screw's torque of "+s.Warnings[at].Message
	}
	d.BelowLeast, d.AboveMost = beyond(s, nil, true), beyond(s, nil, false)
	return d, verdict
}
