package decide

import (
	"context"
	"sync"

	"clampodds/sim"
	"clampodds/sim/strata"
)

// Scouts tell cheaply how often a design exceeds a requirement wherever it is moved to, on the same rows
// everywhere: strata along the direction of the design as it is (strata.Course), made when they are first asked for. They say where a
// record is to be looked for, and of what lies far from its target that none is needed. Searches that start from the
// same design may share them.
type Scouts struct {
	mutex sync.Mutex
	made  map[Place]func() (*strata.Course, error)
}

// scoutRows are the rows about the limit, besides those that bound what is not seen.
const scoutRows = 1500

// clearly is the setup of a look that spares a record: its part of the chance that a verdict is wrong is glanceShare.
func (s *Setup) clearly() *Setup {
	few := *s
	few.Run.Confidence = 1 - glanceShare*(1-s.Run.Confidence)
	return &few
}

// scouted is how often the requirement at a place is exceeded at a position, with an interval of the level of clearly;
// false where the tail methods serve.
func (r *Reach) scouted(ctx context.Context, at float64, p Place) (found sim.Estimate, ok bool, err error) {
	q := r.Base.Members[p.Member].Requirements[p.Requirement]
	if belowStrata(q) {
		return found, false, nil
	}
	if found, ok := r.seen[sight{at, p}]; ok {
		return found, true, nil
	}
	members, err := r.At(at)
	if err != nil {
		return found, false, err
	}
	course, err := r.course(ctx, p)
	if err != nil {
		return found, false, stopped(ctx, err)
	}
	all, err := course.At(ctx, members[p.Member].Scenario)
	if err != nil {
		return found, false, stopped(ctx, err)
	}
	if r.seen == nil {
		r.seen = map[sight]sim.Estimate{}
	}
	r.seen[sight{at, p}] = all[0]
	return all[0], true, nil
}

// sight is what is seen from where.
type sight struct {
	at float64
	of Place
}

// course is that of a place, led by the design as it is.
func (r *Reach) course(ctx context.Context, p Place) (*strata.Course, error) {
	if r.Scouts == nil {
		r.Scouts = &Scouts{}
	}
	r.Scouts.mutex.Lock()
	if r.Scouts.made == nil {
		r.Scouts.made = map[Place]func() (*strata.Course, error){}
	}
	if r.Scouts.made[p] == nil {
		lead := r.Base.Members[p.Member].Scenario
		r.Scouts.made[p] = sync.OnceValues(func() (*strata.Course, error) {
			return strata.NewCourse(ctx, lead, lead.Requirements[p.Requirement], strata.Options{
				Most: scoutRows, Confidence: r.clearly().Run.Confidence, Seed: r.Run.Seed, Workers: r.Run.Workers,
			})
		})
	}
	make := r.Scouts.made[p]
	r.Scouts.mutex.Unlock()
	return make()
}
