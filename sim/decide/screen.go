package decide

import (
	"cmp"
	"context"
	"math"
	"slices"

	"clampodds/sim"
	"clampodds/sim/strata"
)

// screen draws single cards, common to all scenarios: what is seen of one does not depend
// on the others.
func (s *Setup) screen(ctx context.Context, scenarios []sim.Scenario) ([]*strata.Screen, error) {
	return s.screenBy(ctx, scenarios, s.screenRows)
}

// screenBy draws as many cards of each scenario as rows says.
func (s *Setup) screenBy(ctx context.Context, scenarios []sim.Scenario, rows func(sim.Scenario) int64) ([]*strata.Screen, error) {
	screens, err := strata.NewScreens(ctx, scenarios, rowsOfEach(scenarios, rows), s.Run.Seed, s.Run.Workers)
	return screens, stopped(ctx, err)
}

func rowsOfEach(scenarios []sim.Scenario, rows func(sim.Scenario) int64) (each []int64) {
	for _, scenario := range scenarios {
		each = append(each, rows(scenario))
	}
	return each
}

// screenedRows is how often a screen exceeds one of its requirements.
func (s *Setup) screenedRows(exceeds []bool) sim.Estimate {
	n := 0
	for _, yes := range exceeds {
		if yes {
			n++
		}
	}
	return sim.Counted(int64(n), int64(len(exceeds)), s.oneSided())
}

// screenRows is how many rows all requirements of a scenario take.
func (s *Setup) screenRows(scenario sim.Scenario) int64 {
	rows := int64(fewestScreened)
	for _, q := range scenario.Requirements {
		rows = max(rows, s.rowsOf(scenario, q))
	}
	return rows
}

// rowsOf is how many rows without an event show that the target of a requirement holds. It
// is judged by as many, whatever the other requirements take, so that its number of record
// does not depend on which of them are asked for.
func (s *Setup) rowsOf(scenario sim.Scenario, q sim.Requirement) int64 {
	rows := float64(fewestScreened)
	if s.knowledgeCounts(scenario) {
		rows = fewestApart
	}
	if q.Target > 0 {
		rows = max(rows, math.Ceil(math.Log((1-s.Run.Confidence)/2)/math.Log1p(-q.Target*s.meanShare(scenario, q.Target))))
	}
	return int64(min(rows, mostScreened))
}

// part is what a requirement is judged by.
func (s *Setup) part(screen *strata.Screen, scenario sim.Scenario, q sim.Requirement) *strata.Screen {
	return screen.First(s.rowsOf(scenario, q))
}

// sameScreens parts places into those that need a record of their own and those that have the record of one before them, since
// their screens are the same: a condition that changes nothing of the screw leaves its stress alone.
func sameScreens(screens []*strata.Screen, places []Place) (own []Place, same map[Place]Place) {
	same = map[Place]Place{}
	for _, at := range places {
		before := slices.IndexFunc(own, func(as Place) bool {
			return as.Requirement == at.Requirement && screens[at.Member].Same(screens[as.Member], at.Requirement)
		})
		if before < 0 {
			own = append(own, at)
		} else {
			same[at] = own[before]
		}
	}
	return own, same
}

// seen judges requirement k of a scenario from what its screen saw.
func (s *Setup) seen(scenario sim.Scenario, k int, screen *strata.Screen) Record {
	q := scenario.Requirements[k]
	r := Record{Requirement: q, Mean: s.screenedRows(s.part(screen, scenario, q).Exceeds(k))}
	r.Bound = s.bound(s.knowledgeCounts(scenario), r.Mean, q.Target, scenario)
	r.judge()
	return r
}

// firstLook judges from what the screens saw, and lists what stays open, the mean that is furthest above its
// target first: it decides most, and of the rest it takes longest.
func (s *Setup) firstLook(scenarios []sim.Scenario, screens []*strata.Screen) (records [][]Record, open []Place) {
	records = make([][]Record, len(scenarios))
	for i, scenario := range scenarios {
		records[i] = make([]Record, len(scenario.Requirements))
		for k := range scenario.Requirements {
			if records[i][k] = s.seen(scenario, k, screens[i]); records[i][k].Verdict == sim.Undecided {
				open = append(open, Place{i, k})
			}
		}
	}
	over := func(p Place) float64 { return records[p.Member][p.Requirement].overTarget() }
	slices.SortStableFunc(open, func(a, b Place) int { return cmp.Compare(over(b), over(a)) })
	return records, open
}
