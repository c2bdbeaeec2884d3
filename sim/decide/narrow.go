package decide

import (
	"cmp"
	"context"
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
)

// A record is placed so many accuracies beside where the crossing is expected, on the side that is looked for. While
// records keep falling on the other side of the target it is placed aside times as far each time, and after mostBeside of
// them in the middle.
const (
	beside, aside = 0.4, 3.0
	mostBeside    = 3
)

// narrow encloses where the record of the end is met for the last time, from the one inside.
func (r *Reach) narrow(ctx context.Context, inside float64, met Record, e *Reached) error {
	w := &way{Reach: r, end: e, sights: []Sight{{inside, met}, {e.Beyond, e.Record}}}
	e.Met = inside
	if math.Abs(e.Beyond-e.Met) > r.Accuracy {
		if err := w.scout(ctx); err != nil {
			return err
		}
	}
	side, steps := -1.0, 0 // of what is expected: -1 the met one
	for {
		width := math.Abs(e.Beyond - e.Met)
		if width <= r.Accuracy*(1+1e-9) || r.Near > 0 && len(w.sights) > 2 && met.strain() >= r.Near {
			return nil
		}
		share := 0.5
		if steps < mostBeside {
			least := min(0.5, beside*r.Accuracy/width)
			share = min(max(w.crossing()+side*least*math.Pow(aside, float64(steps)), least), 1-least)
		}
		at := r.whole(e.Met+share*(e.Beyond-e.Met), *e)
		record, err := r.record(ctx, at, e.Place)
		if err != nil {
			return err
		}
		w.sights = append(w.sights, Sight{at, record})
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

// way is what is known of the way between two positions.
type way struct {
	*Reach
	end    *Reached
	sights []Sight
	course []seen // in the order of the way
}

// seen is the logarithm of the probability that a scout sees at a position.
type seen struct{ at, logarithm float64 }

// mostScouts are sent out between the two positions of an end.
const mostScouts = 3

// scout sends scouts to both positions, and to where the target is expected between them.
func (w *way) scout(ctx context.Context) error {
	if w.Straight != nil || w.SameRows != nil || !(w.sights[0].Mean.Value > 0) {
		return nil
	}
	look := func(at float64) (bool, error) {
		found, ok, err := w.Reach.scout(ctx, at, w.end.Place, scoutRows)
		if ok = ok && found.Value > 0; ok {
			i := slices.IndexFunc(w.course, func(s seen) bool { return (s.at > at) == (w.end.Beyond > w.end.Met) })
			if i < 0 {
				i = len(w.course)
			}
			w.course = slices.Insert(w.course, i, seen{at, math.Log(found.Value)})
		}
		return ok, err
	}
	for i := range 2 + mostScouts {
		at := w.end.Met
		switch {
		case i == 1:
			at = w.end.Beyond
		case i > 1:
			at = w.end.Met + w.crossing()*(w.end.Beyond-w.end.Met)
		}
		if slices.ContainsFunc(w.course, func(s seen) bool { return math.Abs(s.at-at) < w.Accuracy }) {
			continue // nothing new
		}
		if ok, err := look(at); err != nil || !ok {
			w.course = nil
			return err
		}
	}
	return nil
}

// crossing is the share of the way from the position that is met to the one that is not at which the record is expected to
// cross its target: from the record that tells most, along the course of the scouts or, without one, along a line to
// the next.
func (w *way) crossing() float64 {
	slices.SortStableFunc(w.sights, func(a, b Sight) int { return cmp.Compare(a.tells(), b.tells()) })
	a, b := w.sights[0], w.sights[1]
	if w.SameRows != nil { // steps of few rows: of two that are near each other a line says little
		a, b = w.sightAt(w.end.Met), w.sightAt(w.end.Beyond)
	}
	at := w.line(a, b)
	if len(w.course) > 1 && w.sights[0].Mean.Value > 0 {
		at = w.along(w.sights[0])
	}
	share := (at - w.end.Met) / (w.end.Beyond - w.end.Met)
	if math.IsNaN(share) {
		share = 0.5
	}
	return min(max(share, 0), 1)
}

func (w *way) sightAt(at float64) Sight {
	return w.sights[slices.IndexFunc(w.sights, func(s Sight) bool { return s.At == at })]
}

// tells is small for a record that is close to its target and closely known.
func (s Sight) tells() float64 {
	return math.Abs(math.Log(s.strain())) + math.Log(s.Mean.High/s.Mean.Value)
}

// goal is the logarithm of the strain that is looked for.
func (w *way) goal() float64 {
	if w.Near > 0 {
		return math.Log((1 + w.Near) / 2)
	}
	return 0
}

// along is where the strain of a record, in proportion to the probability of the course, is what is looked for. Beyond the
// course it is its end.
func (w *way) along(from Sight) float64 {
	height := func(i int) float64 { return w.course[i].logarithm }
	wanted := w.goal() - math.Log(from.strain()) + w.height(from.At)
	for i := 1; i < len(w.course); i++ {
		if low, high := height(i-1), height(i); low <= wanted && wanted < high {
			a, b := w.course[i-1].at, w.course[i].at
			return a + (b-a)*(wanted-low)/(high-low)
		}
	}
	if wanted < height(0) {
		return w.course[0].at
	}
	return w.course[len(w.course)-1].at
}

// height is the course at a position.
func (w *way) height(at float64) float64 {
	for i := 1; i < len(w.course); i++ {
		a, b := w.course[i-1], w.course[i]
		if share := (at - a.at) / (b.at - a.at); share >= 0 && share <= 1 {
			return a.logarithm + share*(b.logarithm-a.logarithm)
		}
	}
	return math.NaN()
}

// coarse is how far the bound of a record may lie above its mean before it says little: a screen saw a few rows alone.
const coarse = 1.5

// line is where a line through two records, on a scale that makes the way nearly straight, crosses the target.
func (w *way) line(a, b Sight) float64 {
	straight := w.Straight
	if straight == nil {
		straight = normalScore
	}
	target := a.Requirement.Target
	of := func(s Sight) float64 {
		if s.Mean.High > coarse*s.Mean.Value {
			return straight(s.overTarget(), target)
		}
		return straight(s.strain(), target)
	}
	return a.At + (b.At-a.At)*(straight(math.Exp(w.goal()), target)-of(a))/(of(b)-of(a))
}

// normalScore of a probability, bounded where it no longer tells how far.
func normalScore(ratio, target float64) float64 {
	const least, most = 1e-3, 0.3
	return dist.NormalQuantile(min(max(ratio, least)*target, most))
}
