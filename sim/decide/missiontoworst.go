package decide

import (
	"context"
	"slices"

	"clampodds/sim"
)

// MissionToWorst is Mission, but where one is not met it is judged only as far as it takes to tell what decides it:
// what the screen leaves open, and shows to be nearer to its target than a record that is not met, stays as the screen
// left it. Verdict, Worst and the record there are those of Mission; another of those not met could be named only where
// a bound of the screen is wrong.
func (s *Setup) MissionToWorst(ctx context.Context, members []Member) (*Mission, error) {
	m, open, err := s.screenMission(ctx, members)
	if err != nil {
		return nil, err
	}
	seen := make([][]Record, len(members)) // by the screen alone
	for i := range members {
		seen[i] = slices.Clone(m.Records[i])
	}
	// Those that seem to miss come first: one of them may be what the others are held against.
	for _, misses := range []bool{true, false} {
		bar, look := m.furthestMissed(seen), []Place(nil)
		for _, at := range open {
			r := seen[at.Member][at.Requirement]
			if r.overTarget() > 1 != misses {
				continue
			}
			if members[at.Member].Informative || r.Mean.High >= bar*r.Requirement.Target {
				look = append(look, at)
			} else {
				m.close(at)
			}
		}
		if err := m.recordEach(ctx, look); err != nil {
			return nil, err
		}
	}
	m.settle()
	return m.Mission, nil
}

// furthestMissed is the largest mean over its target of what is not met, 0 for none. Where the screen saw less than the record
// tells, that counts: of another member whose screen is the same, the record is so too.
func (m *Mission) furthestMissed(seen [][]Record) (furthest float64) {
	p := m.worst(func(int) bool { return true })
	if p.Member >= 0 && m.At(p).Verdict == sim.NotMet {
		return min(m.At(p).overTarget(), seen[p.Member][p.Requirement].overTarget())
	}
	return 0
}
