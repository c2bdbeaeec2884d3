package question

import (
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
	"clampodds/sim/loosen"
)

// screwsOfACard are its two edges'.
const screwsOfACard = 2

// unsaid stands in for the smallest target of a study that has none: the one that new writes for screw and thread.
const unsaid = 1e-3

// mostNotAllowed is the largest share of screws that may get what the clamp maker does not allow, on a side: above it the torque with its
// scatter is not allowed. If every such screw were damage, both of a card together would then exceed the smallest target, and the study
// would miss it.
func mostNotAllowed(s *study.Study) float64 {
	smallest := 0.0
	for _, l := range s.Limits {
		if l.Target > 0 && (smallest == 0 || l.Target < smallest) {
			smallest = l.Target
		}
	}
	if smallest == 0 {
		smallest = unsaid
	}
	return smallest / screwsOfACard
}

// fewNotAllowed is the share that is left without a word. Targets are judged by numbers that are known to the accuracy of record, a tenth
// of themselves unless the study says otherwise: as few are lost in that, and could turn no verdict if each were damage.
func fewNotAllowed(s *study.Study) float64 { return accuracyOf(s) * mostNotAllowed(s) }

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

// decided is NewDecision of a study at its own torque: the clamp's maker must allow that, in every condition that is judged, for it to be met.
func decided(s *study.Study, m *decide.Mission, confidence float64) (*reports.Decision, sim.Verdict) {
	d, verdict := NewDecision(s, m, confidence), m.Verdict
	d.ByMaker = byMaker(s, m.Members...)
	if d.NotAllowed != "" && verdict != sim.NoTarget {
		d.ByTargets, verdict = d.Verdict, sim.NotMet
		d.Verdict = verdict.String()
	}
	return d, verdict
}

// byMaker is what the clamp's maker says of the torque of a study, its scatter included, where it is most beyond among the conditions
// that are judged: the rule for every command.
func byMaker(s *study.Study, judged ...decide.Member) (m reports.ByMaker) {
	m = ofItsTorque(s)
	for _, c := range s.Conditions {
		if !statesTorque(c) || s.ConditionName != "" || !slices.ContainsFunc(judged, func(m decide.Member) bool { return m.Name == c.Name }) {
			continue
		}
		there := ofItsTorque(dist.Must(s.Condition(c.Name))) // it was judged
		if m.NotAllowed == "" && there.NotAllowed != "" {
			m.NotAllowed = reports.InCondition(c.Name) + there.NotAllowed
		}
		m.BelowLeast, m.AboveMost = more(m.BelowLeast, there.BelowLeast, c.Name), more(m.AboveMost, there.AboveMost, c.Name)
	}
	if m.NotAllowed == "" {
		m.NotTooMany(mostNotAllowed(s))
	}
	return m
}

// statesTorque says that a condition states the torque anew, of either edge.
func statesTorque(c study.Condition) bool {
	return slices.ContainsFunc(c.Replaced, func(key string) bool { return strings.HasPrefix(key, TorqueKey) })
}

// more is the larger of a share and that in a condition.
func more(m, there *reports.ScrewsBeyond, condition string) *reports.ScrewsBeyond {
	if there == nil || m != nil && m.Share >= there.Share {
		return m
	}
	there.Condition = condition
	return there
}

// ofItsTorque is what the clamp's maker says of a study as it stands: of its nominal torque, and how many screws are beyond.
func ofItsTorque(s *study.Study) reports.ByMaker {
	return reports.ByMaker{NotAllowed: nominalNotAllowed(s), BelowLeast: beyond(s, nil, true), AboveMost: beyond(s, nil, false)}
}

// nominalNotAllowed says why the clamp's maker does not allow the nominal torque; empty where that is allowed.
func nominalNotAllowed(s *study.Study) string {
	at := slices.IndexFunc(s.Warnings, func(w study.Warning) bool { return w.Code == study.TorqueNotAllowed })
	if at < 0 {
		return ""
	}
	return "the screw's torque of " + s.Warnings[at].Message
}

// The keys of the clamp maker's limits in a study.
const leastKey, mostKey = "torque.least", "torque.most"

// keptAllowed ends what the search says of the torque where more screws than may get what the clamp's maker does not allow, and
// names the limit that ends it, if one does. Between the ends nothing is judged anew: all there is met.
func keptAllowed(read *study.Study, m loosen.Move, base sim.Verdict, e, other decide.Reached) (end decide.Reached, stop string) {
	in := read.Input(m.Input)
	if in.Parameter.Key != TorqueKey || e.State == decide.Never {
		return e, ""
	}
	many := mostNotAllowed(read)
	beyondAt := func(at float64) string {
		d, err := m.Distribution(in.Dist, at)
		if err != nil {
			return ""
		}
		below, above := 0.0, 0.0
		if read.Tool.Least > 0 {
			below = d.CDF(read.Tool.Least)
		}
		if read.Tool.Most > 0 {
			above = d.Survival(read.Tool.Most)
		}
		switch {
		case max(below, above) <= many:
			return ""
		case below > above:
			return leastKey
		}
		return mostKey
	}
	if stop = beyondAt(e.Met); stop == "" {
		return e, ""
	}
	if base != sim.Met && !m.UpOnly {
		return decide.Reached{State: decide.Never}, stop
	}
	inwards := other.Met
	if m.UpOnly {
		inwards = max(m.Grid[0], m.Finest) // less of a spread, even than now
	}
	steps := math.Ceil(math.Abs(inwards-e.Met) / (m.Finest / 2))
	outside := e.Met
	for i := 1.; i <= steps; i++ {
		at := e.Met + (inwards-e.Met)*i/steps
		next := beyondAt(at)
		if next == "" {
			e.State, e.Met, e.Beyond = decide.Found, at, outside
			return e, stop
		}
		outside, stop = at, next
	}
	return decide.Reached{State: decide.Never}, stop
}
