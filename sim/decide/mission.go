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
// records of two members differ by what the members differ in.
//
// Stage one, the screen, draws single cards, the same for all members. Where it is clear
// already that a target is met, whatever the unknown inputs are, or missed, its count
// stands. Any other gets rows of its own: where something is marked as not known, a
// stratified sample that starts from the screen and tells the mean and how it depends on
// that, and if need be a second, larger one (strata.KnowledgeLook); otherwise strata to the
// accuracy, for small targets package rare. A mean far below its target stands alone where it
// shows that met whatever the unknown inputs are. Each stage has half the chance of error, so
// that a verdict is wrong in at most 1 - confidence of seeds in either direction; both
// rates are measured by repetition in the tests.
//
// An error is that of a scenario, of the run or of the tail methods, or ErrStopped.
func (s *Setup) Mission(ctx context.Context, members []Member) (*Mission, error) {
	m, open, err := s.screenMission(ctx, members)
	if err != nil {
		return nil, err
	}
	if err := m.recordEach(ctx, open); err != nil {
		return nil, err
	}
	m.settle()
	return m.Mission, nil
}

// screenedMission is a mission on the way: judged by its screens, which have what is open still.
type screenedMission struct {
	*Mission
	setup   *Setup
	screens []*strata.Screen
}

// screenMission judges by the screens alone, and lists what stays open.
func (s *Setup) screenMission(ctx context.Context, members []Member) (m screenedMission, open []Place, err error) {
	scenarios := scenariosOf(members)
	screens, err := s.screen(ctx, scenarios)
	if err != nil {
		return m, nil, err
	}
	m = screenedMission{&Mission{Members: members}, s, screens}
	m.Records, open = s.firstLook(scenarios, screens)
	for i := range members {
		m.exceeds = append(m.exceeds, make([][]bool, len(m.Records[i])))
		m.margins = append(m.margins, make([]float64, len(m.Records[i])))
		for k := range m.Records[i] {
			if p := (Place{i, k}); !slices.Contains(open, p) {
				m.close(p)
			}
		}
	}
	return m, open, nil
}

// recordEach looks closer at records that the screens left open.
func (m screenedMission) recordEach(ctx context.Context, open []Place) error {
	own, same := sameScreens(m.screens, open)
	defer func() {
		for at, as := range same {
			m.Records[at.Member][at.Requirement] = m.At(as)
			m.close(at)
		}
	}()
	return m.setup.closer(ctx, own, func(at Place) error {
		err := m.setup.record(ctx, m.Members[at.Member].Scenario, &m.Records[at.Member][at.Requirement], m.screens[at.Member])
		if err == nil {
			m.close(at)
		}
		return err
	})
}

// close keeps what else the screen shows of a record that stands; its rows are needed no more.
func (m screenedMission) close(p Place) {
	screen := m.screens[p.Member]
	m.exceeds[p.Member][p.Requirement] = m.setup.part(screen, m.Members[p.Member].Scenario, m.At(p).Requirement).Exceeds(p.Requirement)
	m.lookAtMargin(m.setup, screen, p)
	screen.Forget(p.Requirement)
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
