package decide

import (
	"context"
	"sync"

	"clampodds/sim"
	"clampodds/sim/strata"
)

// Scouts tell cheaply how often a design exceeds a requirement wherever it is moved to, on the same rows
// everywhere: those of a course (strata.Course) that the design as it is leads, made when it is first asked for. They say
// where a record is to be looked for. Searches that start from the same design may share them.
type Scouts struct {
	mutex sync.Mutex
	made  map[Place]func() (*strata.Course, error)
}

// scoutRows are about those of a scout.
const scoutRows = 4000

// course is that of a place.
func (s *Scouts) course(p Place, make func() (*strata.Course, error)) (*strata.Course, error) {
	s.mutex.Lock()
	if s.made == nil {
		s.made = map[Place]func() (*strata.Course, error){}
	}
	if s.made[p] == nil {
		s.made[p] = sync.OnceValues(make)
	}
	made := s.made[p]
	s.mutex.Unlock()
	return made()
}

// scout is how often the requirement at a place is exceeded at a position; ok is false where the tail methods serve.
func (r *Reach) scout(ctx context.Context, at float64, p Place) (found sim.Estimate, ok bool, err error) {
	lead := r.Base.Members[p.Member].Scenario
	q := lead.Requirements[p.Requirement]
	if belowStrata(q) {
		return found, false, nil
	}
	members, err := r.At(at)
	if err != nil {
		return found, false, err
	}
	course, err := r.Scouts.course(p, func() (*strata.Course, error) {
		c, err := strata.NewCourse(ctx, lead, q, strata.Options{Most: scoutRows, Confidence: r.Run.Confidence, Seed: r.Run.Seed, Workers: r.Run.Workers})
		if err != nil {
			return nil, err
		}
		return c.About(scoutRows), nil
	})
	if err != nil {
		return found, false, stopped(ctx, err)
	}
	all, err := course.At(ctx, members[p.Member].Scenario)
	if err != nil {
		return found, false, stopped(ctx, err)
	}
	return all[0], true, nil
}
