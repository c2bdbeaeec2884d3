package decide

import (
	"cmp"
	"context"
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
)

// sighting is a record at a position.
type sighting struct {
	at float64
	Record
}

// A record is placed so many accuracies beside where the crossing is expected, on the side that is looked for. While
// records keep falling on the other side, further times as many, and after mostBeside of them in the middle.
const (
	beside, aside = 0.4, 3.0
	mostBeside    = 3
)

// narrow encloses where the record of the end is met for the last time, from the one inside.
func (r *Reach) narrow(ctx context.Context, inside float64, met Record, e *Reached) error {
	e.Met = inside
	all := []sighting{{inside, met}, {e.Beyond, e.Record}}
	side, steps := -1.0, 0 // of what is expected: -1 the met one
	for {
		width, accuracy := math.Abs(e.Beyond-e.Met), r.Accuracy(e.Beyond)
		if width <= accuracy*(1+1e-9) || len(all) > 2 && r.Near > 0 && met.strain() >= r.Near {
			return nil
		}
		share := 0.5
		if steps < mostBeside {
			expected, err := r.crossing(ctx, *e, all)
			if err != nil {
				return err
			}
			least := min(0.5, beside*accuracy/width)
			share = min(max(expected+side*least*math.Pow(aside, float64(steps)), least), 1-least)
		}
		at := r.whole(e.Met+share*(e.Beyond-e.Met), *e)
		record, err := r.record(ctx, at, e.Place)
		if err != nil {
			return err
		}
		all = append(all, sighting{at, record})
		looked := side
		if side = -1; record.Verdict == sim.Met {
			e.Met, met, side = at, record, 1
		} else {
			e.Beyond, e.Record = at, record
		}
		if steps++; side != looked {
			steps = 0
		}
	}
}

// whole moves a position between the two of an end to the nearest whole multiple between them, where positions are such.
func (r *Reach) whole(at float64, e Reached) float64 {
	if r.Parts == 0 {
		return at
	}
	low, high := min(e.Met, e.Beyond), max(e.Met, e.Beyond)
	return min(max(math.Round(at*r.Parts), math.Round(low*r.Parts)+1), math.Round(high*r.Parts)-1) / r.Parts
}

// crossing is the share of the way from the position that is met to the one that is not at which the target is expected to
// be crossed: from the record that tells most, by the course on common rows where that serves, else by a
// line through the two that tell most.
func (r *Reach) crossing(ctx context.Context, e Reached, all []sighting) (float64, error) {
	all = slices.Clone(all)
	slices.SortStableFunc(all, func(a, b sighting) int { return cmp.Compare(a.tells(), b.tells()) })
	at, err := math.NaN(), error(nil)
	if r.Straight == nil && all[0].Mean.Value > 0 {
		at, err = r.scoutedCrossing(ctx, e, all[0])
	}
	if math.IsNaN(at) {
		at = r.line(all[0], all[1])
	}
	share := (at - e.Met) / (e.Beyond - e.Met)
	if math.IsNaN(share) {
		share = 0.5
	}
	return min(max(share, 0), 1), err
}

// tells is small for a record that is close to its target and closely known.
func (s sighting) tells() float64 {
	return math.Abs(math.Log(s.strain())) + math.Log(s.Mean.High/s.Mean.Value)
}

// line is where a line through two records, on a scale that makes the way nearly straight, crosses the target.
func (r *Reach) line(a, b sighting) float64 {
	straight := r.Straight
	if straight == nil {
		straight = normalScore
	}
	target := a.Requirement.Target
	of := func(s sighting) float64 {
		if s.Mean.High > coarse*s.Mean.Value { // its bound says little
			return straight(s.overTarget(), target)
		}
		return straight(s.strain(), target)
	}
	return a.at + (b.at-a.at)*(straight(1, target)-of(a))/(of(b)-of(a))
}

// coarse is a record of which a screen saw a few rows alone.
const coarse = 1.5

// scoutedCrossing is where the strain of a record, moved in proportion to the probability of the course, is 1; NaN where the
// course does not say. Of an end that lies outside the two positions it is the nearer of them.
func (r *Reach) scoutedCrossing(ctx context.Context, e Reached, from sighting) (float64, error) {
	base, ok, err := r.scouted(ctx, from.at, e.Place)
	if err != nil || !ok || base.Value == 0 {
		return math.NaN(), err
	}
	over := func(at float64) float64 { // the logarithm of the strain
		found, _, failed := r.scouted(ctx, at, e.Place)
		if failed != nil {
			err = failed
		}
		return math.Log(from.strain() * max(found.Value, 1e-3*base.Value) / base.Value)
	}
	met, beyond := e.Met, e.Beyond
	below, above := over(met), over(beyond)
	if below >= 0 || above <= 0 {
		if below >= 0 {
			return met, err
		}
		return beyond, err
	}
	// Regula falsi, with the Illinois rule: an end that stays counts half.
	for last := 0.0; err == nil && math.Abs(beyond-met) > beside*r.Accuracy(beyond); {
		at := met + (beyond-met)*below/(below-above)
		height := over(at)
		if math.Abs(height) < closeEnough {
			return at, err
		}
		if height < 0 {
			met, below = at, height
			if last < 0 {
				above /= 2
			}
		} else {
			beyond, above = at, height
			if last > 0 {
				below /= 2
			}
		}
		last = height
	}
	return met, err
}

// closeEnough is a part of the probability that records scatter by from position to position, and more.
const closeEnough = 0.003

// normalScore of a probability, bounded where it no longer tells how far.
func normalScore(ratio, target float64) float64 {
	const least, most = 1e-3, 0.3
	return dist.NormalQuantile(min(max(ratio, least)*target, most))
}
