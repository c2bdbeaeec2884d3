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
type Scouts struct{ courses byPlace[*strata.Course] }

// byPlace has what is made for a place when it is first asked for.
type byPlace[T any] struct {
	mutex sync.Mutex
	made  map[Place]func() (T, error)
}

func (b *byPlace[T]) get(p Place, make func() (T, error)) (T, error) {
	b.mutex.Lock()
	if b.made == nil {
		b.made = map[Place]func() (T, error){}
	}
	if b.made[p] == nil {
		b.made[p] = sync.OnceValues(make)
	}
	made := b.made[p]
	b.mutex.Unlock()
	return made()
}

// scoutRows are about those of a scout, fewScoutRows of one that only tells whether something is far off.
const scoutRows, fewScoutRows = 4000, 2000

// scout is how often the requirement at a place is exceeded at a position, by about so many rows; ok is false where the tail methods serve.
func (r *Reach) scout(ctx context.Context, at float64, p Place, rows int64) (found sim.Estimate, ok bool, err error) {
	lead := r.Base.Members[p.Member].Scenario
	q := lead.Requirements[p.Requirement]
	if belowStrata(q) {
		return found, false, nil
	}
	members, err := r.At(at)
	if err != nil {
		return found, false, err
	}
	course, err := r.Scouts.courses.get(p, func() (*strata.Course, error) {
		return r.newCourse(ctx, lead, q, scoutRows)
	})
	if err != nil {
		return found, false, err
	}
	all, err := course.About(rows).At(ctx, members[p.Member].Scenario)
	if err != nil {
		return found, false, stopped(ctx, err)
	}
	return all[0], true, nil
}
