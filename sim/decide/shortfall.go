package decide

import (
	"context"

	"clampodds/sim"
	"clampodds/sim/strata"
)

// glanceRows are the rows of a glance, and glanceShare its part of the chance that a
// verdict is wrong, on top of what the records allow for.
const (
	glanceRows  = fewestScreened
	glanceShare = 0.02
)

// Shortfall judges a design as Mission does, but only as far as it takes to tell whether
// the mission is met: a glance at few cards finds what is far off; of the records that the
// screen leaves open those furthest above their targets come first, and the first that is
// not met ends the search. Where one is undecided the others are looked at only while they
// seem to miss. Of a mission that is not met, Worst is the first such record found, and
// others are as the screen left them. Informative members are left out.
//
// A verdict is wrong as often as that of Mission, not met a fiftieth more often.
func (s *Setup) Shortfall(ctx context.Context, members []Member) (*Mission, error) {
	return s.shortfall(ctx, members, nil)
}

// shortfall is Shortfall where some records, by the place among what is judged, are known.
func (s *Setup) shortfall(ctx context.Context, members []Member, known map[Place]Record) (*Mission, error) {
	m := &Mission{}
	hasty := *s
	hasty.verdictAlone = true
	var scenarios []sim.Scenario
	for _, member := range members {
		if !member.Informative {
			m.Members, scenarios = append(m.Members, member), append(scenarios, member.Scenario)
		}
	}
	var err error
	var screens []*strata.Screen
	if m.Records, screens, err = s.glance(ctx, scenarios); err != nil {
		return nil, err
	}
	if m.settle(); m.Verdict == sim.NotMet {
		return m, nil
	}
	if err := strata.Extend(ctx, screens, rowsOfEach(scenarios, s.screenRows), s.Run.Workers); err != nil {
		return nil, stopped(ctx, err)
	}
	var open []Place
	m.Records, open = s.firstLook(scenarios, screens)
	if m.settle(); m.Verdict == sim.NotMet {
		return m, nil
	}
	undecided := Place{-1, -1}
	_, same := sameScreens(screens, open)
	for _, at := range open {
		if undecided.Member >= 0 && m.At(at).overTarget() <= 1 {
			break
		}
		r := &m.Records[at.Member][at.Requirement]
		if of, ok := known[at]; ok {
			*r = of
		} else if as, ok := same[at]; ok {
			*r = m.At(as)
		} else if err := hasty.record(ctx, scenarios[at.Member], r, screens[at.Member]); err != nil {
			return nil, err
		}
		if r.Verdict == sim.NotMet {
			m.Verdict, m.Worst = sim.NotMet, at
			return m, nil
		}
		if r.Verdict == sim.Undecided && undecided.Member < 0 {
			undecided = at
		}
	}
	if undecided.Member < 0 {
		m.lookForNearest(s, screens)
	}
	if m.settle(); undecided.Member >= 0 {
		m.Verdict, m.Worst = sim.Undecided, undecided
	}
	return m, nil
}

// glance judges from few cards of each scenario, with little of the chance of error.
func (s *Setup) glance(ctx context.Context, scenarios []sim.Scenario) ([][]Record, []*strata.Screen, error) {
	few := *s
	few.Run.Confidence = 1 - glanceShare*(1-s.Run.Confidence)
	screens, err := few.screenBy(ctx, scenarios, func(sim.Scenario) int64 { return glanceRows })
	if err != nil {
		return nil, nil, err
	}
	records, _ := few.firstLook(scenarios, screens)
	return records, screens, nil
}
