package decide

import (
	"cmp"
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/strata"
)

// notExceeded says that a target is met and no row exceeded the limit.
func (r Record) notExceeded() bool { return r.Verdict == sim.Met && r.Mean.Value == 0 }

// lookForNearest finds how near those limits are to their targets that no row exceeded. Rows are
// common to all members, so that two members differ by what they differ in.
func (m *Mission) lookForNearest(s *Setup, screens []*strata.Screen) {
	m.margins = make([][]float64, len(m.Members))
	for i := range m.Members {
		m.margins[i] = make([]float64, len(m.Records[i]))
		for k := range m.Records[i] {
			m.lookAtMargin(s, screens[i], Place{i, k})
		}
	}
}

// lookAtMargin finds it of one limit.
func (m *Mission) lookAtMargin(s *Setup, screen *strata.Screen, p Place) {
	member, r := m.Members[p.Member], m.At(p)
	if q := r.Requirement; r.notExceeded() && !member.Informative {
		m.margins[p.Member][p.Requirement] = scoreAt(q, s.part(screen, member.Scenario, q).Output(p.Requirement)) + dist.NormalQuantile(q.Target)
	}
}

// scoreAt is the normal score at which an output would reach its limit, if it went on beyond its largest values
// (its least, for a limit from below) as it goes through them: on the line through its percentiles 99 and 99.9
// over the normal score. It is +Inf where the output does not rise towards the limit. It orders what no row
// exceeded, and is no estimate.
func scoreAt(q sim.Requirement, y []float64) float64 {
	const far, further = 1e-2, 1e-3 // some hundred and some ten rows of the fewest that are screened
	sign := 1.0
	if q.Below {
		sign = -1
	}
	top := largest(y, sign, max(2, int(far*float64(len(y)))))
	n := max(1, int(further*float64(len(y))))
	near, end := top[len(top)-1], top[n-1]
	score := func(rows int) float64 { return -dist.NormalQuantile(float64(rows) / float64(len(y)+1)) }
	rise := (end - near) / (score(n) - score(len(top)))
	if !(rise > 0) { // the same in all rows, or -Inf
		return math.Inf(1)
	}
	return score(n) + (sign*q.Limit-end)/rise
}

// largest are the n largest of the values times a sign, the largest first, or all of them.
func largest(y []float64, sign float64, n int) []float64 {
	kept, least := make([]float64, 0, 4*n), math.Inf(-1)
	order := func() {
		slices.SortFunc(kept, func(a, b float64) int { return cmp.Compare(b, a) })
		kept = kept[:min(n, len(kept))]
	}
	for _, v := range y {
		if v *= sign; v > least || len(kept) < n {
			if kept = append(kept, v); len(kept) == cap(kept) {
				order()
				least = kept[n-1]
			}
		}
	}
	order()
	return kept
}

// margin is how many standard scores a limit that no row exceeded is from its target, 0 for another.
func (m *Mission) margin(p Place) float64 {
	if m.margins == nil {
		return 0
	}
	return m.margins[p.Member][p.Requirement]
}

// likely is the probability over the target: where no row exceeded, what the values lead to expect, though never
// more than goes with no row seen, so that one that was seen comes first.
func (m *Mission) likely(p Place) float64 {
	r := m.At(p)
	if !r.notExceeded() || m.margins == nil {
		return r.overTarget()
	}
	const unseen = 0.2 // over the bound, 3.7 rows at 95 %: less than one row
	target := r.Requirement.Target
	return min(dist.NormalSurvival(m.margin(p)-dist.NormalQuantile(target)), unseen*r.Mean.High) / target
}

// order compares places by how often their limits are exceeded for their targets, or how near to that they come:
// above 0 where p is the further.
func (m *Mission) order(p Place, other *Mission, q Place) int {
	return cmp.Or(cmp.Compare(m.likely(p), other.likely(q)), cmp.Compare(other.margin(q), m.margin(p)))
}

// Further says that a place is further above its target, or nearer to it, than one of another mission of the same
// setup.
func (m *Mission) Further(p Place, than *Mission, q Place) bool { return m.order(p, than, q) > 0 }

// Alike are the other judged members in which a requirement does exactly what it does at a place, as one does that
// no difference between them touches.
func (m *Mission) Alike(p Place) (members []int) {
	of := m.At(p)
	for i, member := range m.Members {
		if i == p.Member || member.Informative || p.Requirement >= len(m.Records[i]) {
			continue
		}
		at := Place{i, p.Requirement}
		r := m.At(at)
		if r.Requirement == of.Requirement && r.Verdict == of.Verdict && m.order(p, m, at) == 0 && r.Mean.Value == of.Mean.Value && r.Mean.High == of.Mean.High {
			members = append(members, i)
		}
	}
	return members
}
