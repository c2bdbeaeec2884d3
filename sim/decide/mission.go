package decide

import (
	"cmp"
	"context"
	"slices"

	"clampodds/sim"
	"clampodds/sim/strata"
)

// Member is one condition of a mission, the study as written being one of them.
type Member struct {
	sim.Scenario
	// Informative: it is shown, and not judged.
	Informative bool
}

// Mission is a design judged in every condition.
type Mission struct {
	// Members are in the order given; Records has their requirements.
	Members []Member
	Records [][]Record
	// Verdict is that of all requirements in all judged members together: met when
	// each is, not met when one is not.
	Verdict sim.Verdict
	// Worst is the record that decides: not met before undecided before met, and among
	// those the one nearest to, or furthest above, its target. Among limits that no row exceeded the
	// nearest is told by the values.
	Worst Place
	// exceeds has, by member and requirement, which rows of the screen exceed it.
	exceeds [][][]bool
	// margins has, by member and requirement, how many standard scores a limit that no row exceeded is from its
	// target; it is nil where that was not looked at.
	margins [][]float64
}

// Place is where a record stands: Mission.Records[Member][Requirement]. Member is -1
// where no requirement has a target.
type Place struct{ Member, Requirement int }

// At returns the record at a place.
func (m *Mission) At(p Place) Record { return m.Records[p.Member][p.Requirement] }

// MemberNamed is the position of the member of a name, -1 for none.
func (m *Mission) MemberNamed(name string) int {
	return slices.IndexFunc(m.Members, func(one Member) bool { return one.Name == name })
}

// Mission judges a design in every member. The members' draws are common, so that the
// records of two members differ by what the members differ in. Errors are those of
// Records.
func (s *Setup) Mission(ctx context.Context, members []Member) (*Mission, error) {
	records, screens, err := s.records(ctx, scenariosOf(members))
	if err != nil {
		return nil, err
	}
	m := &Mission{Members: members, Records: records}
	m.conclude(s, screens)
	return m, nil
}

// conclude finds what decides, and keeps what else the screens show.
func (m *Mission) conclude(s *Setup, screens []*strata.Screen) {
	for i, member := range m.Members {
		m.exceeds = append(m.exceeds, nil)
		for k, r := range m.Records[i] {
			m.exceeds[i] = append(m.exceeds[i], s.part(screens[i], member.Scenario, r.Requirement).Exceeds(k))
		}
	}
	m.lookForNearest(s, screens)
	m.settle()
}

// settle finds the record that decides.
func (m *Mission) settle() {
	m.Verdict, m.Worst = sim.NoTarget, m.worst(func(int) bool { return true })
	if m.Worst.Member >= 0 {
		m.Verdict = m.At(m.Worst).Verdict
	}
}

// WorstOf is where requirement k is decided, as Worst for all of them; its Member is -1
// without a target.
func (m *Mission) WorstOf(k int) Place { return m.worst(func(i int) bool { return i == k }) }

// worst is the place that decides on the requirements asked for.
func (m *Mission) worst(asked func(requirement int) bool) Place {
	worst := Place{-1, -1}
	for i, member := range m.Members {
		for k, r := range m.Records[i] {
			if member.Informative || r.Verdict == sim.NoTarget || !asked(k) {
				continue
			}
			if worst.Member < 0 || m.worse(Place{i, k}, worst) {
				worst = Place{i, k}
			}
		}
	}
	return worst
}

// worse orders places by what their records decide, and then by how far they lie from it.
func (m *Mission) worse(p, q Place) bool {
	a, b := m.At(p), m.At(q)
	if a.Verdict != b.Verdict {
		return severity(a.Verdict) > severity(b.Verdict)
	}
	if a.Verdict != sim.Undecided { // the bounds of those met are of different kinds, and not met is the average, whatever the bounds
		return cmp.Or(m.order(p, m, q), cmp.Compare(a.Mean.High/a.Requirement.Target, b.Mean.High/b.Requirement.Target)) > 0
	}
	return a.strain() > b.strain()
}

func severity(v sim.Verdict) int {
	switch v {
	case sim.NotMet:
		return 3
	case sim.Undecided:
		return 2
	case sim.Met:
		return 1
	}
	return 0
}

// strain is the larger of the two upper bounds over the target.
func (r Record) strain() float64 { return max(r.Mean.High, r.Bound.High) / r.Requirement.Target }
