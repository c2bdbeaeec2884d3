package decide

import (
	"cmp"
	"context"
	"slices"

	"clampodds/sim"
	"clampodds/sim/strata"
)

// Shortfall is the requirement for which a design falls short of its mission, where it
// does.
type Shortfall struct {
	// Verdict is Met where every requirement holds in every judged member; else that of
	// Record. NoTarget: nothing is asked.
	Verdict sim.Verdict
	// At is where Record stands; Member is -1 where nothing falls short.
	At     Place
	Record Record
}

// glanceRows are the rows of a glance, and glanceShare its part of the chance that a
// verdict is wrong; the part is left out of what the records allow for.
const (
	glanceRows  = fewestScreened
	glanceShare = 0.02
)

// Shortfall judges a design as Mission does, but only as far as it takes to tell whether it
// is met: a glance at few cards finds what is far off; of the records that a screen leaves
// open those furthest above their targets come first, and the first one that is not met
// ends the search. Where one is undecided the others are looked at while they may still
// miss, by what the screen saw.
//
// Met has the chance of error of Mission, not met a fiftieth more.
func (s *Setup) Shortfall(ctx context.Context, members []Member) (Shortfall, error) {
	var scenarios []sim.Scenario
	var judged []int
	for i, m := range members {
		if !m.Informative {
			scenarios, judged = append(scenarios, m.Scenario), append(judged, i)
		}
	}
	short, err := s.shortfall(ctx, scenarios)
	if short.At.Member >= 0 && err == nil {
		short.At.Member = judged[short.At.Member]
	}
	return short, err
}

func (s *Setup) shortfall(ctx context.Context, scenarios []sim.Scenario) (Shortfall, error) {
	short, err := s.glance(ctx, scenarios)
	if err != nil || short.Verdict == sim.NotMet {
		return short, err
	}
	screens, err := s.screen(ctx, scenarios)
	if err != nil {
		return Shortfall{}, err
	}
	records, open := s.firstLook(scenarios, screens)
	short = furthest(records)
	if short.Verdict == sim.NotMet || len(open) == 0 {
		return short, nil
	}
	slices.SortStableFunc(open, func(a, b Place) int {
		return cmp.Compare(above(records[b.Member][b.Requirement]), above(records[a.Member][a.Requirement]))
	})
	short = Shortfall{Verdict: sim.Met, At: Place{-1, -1}}
	for _, at := range open {
		r := records[at.Member][at.Requirement]
		if short.Verdict == sim.Undecided && above(r) <= 1 {
			break
		}
		if err := s.record(ctx, scenarios[at.Member], &r, screens[at.Member]); err != nil {
			return Shortfall{}, err
		}
		if severity(r.Verdict) > severity(short.Verdict) {
			short = Shortfall{r.Verdict, at, r}
		}
		if short.Verdict == sim.NotMet {
			break
		}
	}
	return short, nil
}

// above is how many times its target the probability is, as seen.
func above(r Record) float64 { return r.Mean.Value / r.Requirement.Target }

// glance looks at few cards of each scenario.
func (s *Setup) glance(ctx context.Context, scenarios []sim.Scenario) (Shortfall, error) {
	few := *s
	few.Run.Confidence = 1 - glanceShare*(1-s.Run.Confidence)
	records := make([][]Record, len(scenarios))
	for i, scenario := range scenarios {
		screen, err := strata.NewScreen(ctx, scenario, glanceRows, s.Run.Seed, s.Run.Workers)
		if err != nil {
			return Shortfall{}, stopped(ctx, err)
		}
		one, _ := few.firstLook([]sim.Scenario{scenario}, []*strata.Screen{screen})
		records[i] = one[0]
	}
	return furthest(records), nil
}

// furthest is the worst of records.
func furthest(records [][]Record) Shortfall {
	short := Shortfall{Verdict: sim.NoTarget, At: Place{-1, -1}}
	for i, of := range records {
		for k, r := range of {
			if r.Verdict == sim.NoTarget {
				continue
			}
			if short.At.Member < 0 || worse(r, short.Record) {
				short = Shortfall{r.Verdict, Place{i, k}, r}
			}
		}
	}
	if short.Verdict == sim.Met {
		short.At = Place{-1, -1}
	}
	return short
}
