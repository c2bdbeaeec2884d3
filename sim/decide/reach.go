package decide

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"clampodds/sim"
)

// Reach is a design moved along an axis, such as the spread of a tolerance, in every
// condition of its mission: it finds how far the mission stays met, or from where on it
// would be. It takes for granted that along the way looked at each record crosses its
// target once.
//
// The end is found on the record that decides where the mission is not met, which takes a
// handful of records, and the mission is judged in full at the end alone; what is not met
// there draws it in. All positions share the draws, so that a record is a smooth function
// of the position, and an end lies beyond the true one as often as one verdict is wrong.
type Reach struct {
	Setup
	// At makes the members at a position: the same conditions, none informative, and the
	// same requirements at all.
	At func(position float64) ([]Member, error)
	// Base is the mission at the position From.
	Base *Mission
	From float64
	// Accuracy > 0 is how near an end is found.
	Accuracy float64
	// Parts, if set, lets only positions be looked at that are whole multiples of 1/Parts, as From and the far ends are.
	Parts float64
	// Near, if set, ends the search at a record that is met by so little: its upper bound over the target.
	Near float64
	// Straight, if set, makes a ratio of a probability to its target nearly straight along the axis: the way is then
	// expected by that, from record to record, and not scouted.
	Straight func(ratio, target float64) float64
	// SameRows, if set, judge all positions in place of records; the end is then one on average.
	SameRows *SameRows
	// Scouts may be shared by searches from the same design; they start empty.
	Scouts *Scouts
	// Once, if set, does a step of the search, by its name, unless it is kept; see Once.
	Once Once

	looked map[float64]map[Place]Record // by position: each is judged once
	own    byPlace[*led]                // what SameRows are led by on the way
}

// State says what is known of an end.
type State int

// The states.
const (
	// Found: the end is at a position.
	Found State = iota + 1
	// Open: met as far as was looked.
	Open
	// Never: not met wherever was looked.
	Never
)

// Reached is how far a mission stays met.
type Reached struct {
	State State
	// Met is the last position that is met, judged in full; unless Never.
	Met float64
	// Beyond is the nearest position seen that is not met; Place and Record are what
	// decides there. Unless Open.
	Beyond float64
	Place  Place
	Record Record
	// Along are the records of Place wherever it was judged whole, by rising position: both kinds of not knowing.
	Along []Sight
	// Far is the mission at the far position of Outward, judged as far as it takes to tell whether it is met.
	Far *Mission
}

// Outward looks from where the mission is met to another position. Errors are those of
// Shortfall and At.
func (r *Reach) Outward(ctx context.Context, to float64) (Reached, error) {
	if to == r.From {
		return openAt(to), nil
	}
	m, err := r.judge(ctx, to)
	if err != nil {
		return Reached{}, err
	}
	e := openAt(to)
	if m.Verdict != sim.Met {
		e, err = r.between(ctx, r.From, missedAt(m, to))
	}
	e.Far = m
	e.Along = r.sights(e.Place)
	return e, err
}

// openAt is an end that nothing sets.
func openAt(position float64) Reached {
	return Reached{State: Open, Met: position, Place: Place{-1, -1}}
}

// Toward looks, from where the mission is not met, for the first position that is, up to another
// at which it need not be: what is missed on the way and there as well is never met. Errors are
// those of Outward.
func (r *Reach) Toward(ctx context.Context, to float64) (Reached, error) {
	e, err := r.between(ctx, to, missedAt(r.Base, r.From))
	e.Along = r.sights(e.Place)
	return e, err
}

// Sight is a record at a position.
type Sight struct {
	At float64
	Record
}

// sights are what was seen of a place, the base included.
func (r *Reach) sights(p Place) (seen []Sight) {
	if p.Member < 0 {
		return nil
	}
	seen = []Sight{{r.From, r.Base.At(p)}}
	for at, records := range r.looked {
		if found, ok := records[p]; ok {
			seen = append(seen, Sight{at, found})
		}
	}
	slices.SortFunc(seen, func(a, b Sight) int { return cmp.Compare(a.At, b.At) })
	return seen
}

// Inward looks, from where the mission is not met, for the first that is, at positions
// that lead away. It gives up where what is missed comes no nearer to its target. Errors
// are those of Record, Shortfall and At.
func (r *Reach) Inward(ctx context.Context, positions ...float64) (Reached, error) {
	last := missedAt(r.Base, r.From)
	for _, at := range positions {
		if far, err := r.clearlyMissed(ctx, at, last); err != nil || far {
			return last, err
		}
		record, err := r.record(ctx, at, last.Place)
		if err != nil {
			return last, err
		}
		if record.Verdict != sim.Met {
			if record.strain() >= last.Record.strain() {
				break
			}
			last.Beyond, last.Record = at, record
			continue
		}
		found, err := r.between(ctx, at, last)
		if err != nil || found.State == Found {
			return found, err
		}
		last = found // another is missed, and may be met further on
	}
	return last, nil
}

// clearlyMissed spares a record with what is not known kept apart: less scatter lowers the mean
// by more than the quantile over what is not known, so that a mean which the ratio of the two at
// the last position puts above the target shows the quantile there.
func (r *Reach) clearlyMissed(ctx context.Context, at float64, last Reached) (bool, error) {
	mean, bound := last.Record.Mean.Value, last.Record.Bound.Value
	if last.Record.Unknown == nil || !(bound > mean) {
		return false, nil
	}
	found, ok, err := r.scout(ctx, at, last.Place, fewScoutRows)
	return ok && found.Low*bound/mean > last.Record.Requirement.Target, err
}

// missedAt is a position that is not met; nothing else is known.
func missedAt(m *Mission, position float64) Reached {
	return Reached{State: Never, Beyond: position, Place: m.Worst, Record: m.At(m.Worst)}
}

func (r *Reach) judge(ctx context.Context, at float64) (m *Mission, err error) {
	members, err := r.At(at)
	if err != nil {
		return nil, err
	}
	err = r.Once.do(fmt.Sprint("mission at ", at), func() ([]byte, error) {
		if r.SameRows != nil {
			m, err = r.SameRows.mission(ctx, members, r.looked[at], &r.own)
		} else {
			m, err = r.shortfall(ctx, members, r.looked[at])
		}
		if err != nil {
			return nil, err
		}
		return m.MarshalBinary()
	}, func(text []byte) error {
		m, err = ReadMission(members, text)
		return err
	})
	return m, err
}

func (r *Reach) record(ctx context.Context, at float64, p Place) (found Record, err error) {
	if at == r.From {
		return r.Base.At(p), nil
	}
	if found, ok := r.looked[at][p]; ok {
		return found, nil
	}
	members, err := r.At(at)
	if err != nil {
		return Record{}, err
	}
	of := members[p.Member].Scenario
	err = r.Once.do(fmt.Sprint("record at ", at, " ", p), func() ([]byte, error) {
		if r.SameRows != nil {
			found, err = r.SameRows.record(ctx, of, p, &r.own)
		} else {
			found, err = r.Record(ctx, of, p.Requirement)
		}
		if err != nil {
			return nil, err
		}
		return encoded(found)
	}, func(text []byte) error {
		found, err = readRecord(of.Requirements[p.Requirement], text)
		return err
	})
	if err != nil {
		return Record{}, err
	}
	if r.looked == nil {
		r.looked = map[float64]map[Place]Record{}
	}
	if r.looked[at] == nil {
		r.looked[at] = map[Place]Record{}
	}
	r.looked[at][p] = found
	return found, nil
}

// between finds the end between a position where what is missed is met and one where it is not;
// there is none where it is missed at both.
func (r *Reach) between(ctx context.Context, inside float64, e Reached) (Reached, error) {
	for {
		met, err := r.record(ctx, inside, e.Place)
		if err != nil || met.Verdict != sim.Met {
			return e, err
		}
		e.State = Found
		if err := r.narrow(ctx, inside, met, &e); err != nil || e.Met == r.From {
			return e, err
		}
		m, err := r.judge(ctx, e.Met)
		if err != nil || m.Verdict == sim.Met {
			return e, err
		}
		e = missedAt(m, e.Met)
	}
}
