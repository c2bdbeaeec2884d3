package loosen

import (
	"cmp"
	"context"
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
)

// State says what is known of a bound.
type State int

// The states.
const (
	// Found: the bound lies at a position.
	Found State = iota + 1
	// Open: inside as far as was looked.
	Open
	// Never: outside wherever was looked.
	Never
)

// Bound is one end of the positions at which something holds.
type Bound struct {
	State State
	At    float64 // when Found
}

// End is the upper or lower end of the positions at which all requirements are
// met. It may lie on either side of the design as it is: when a requirement is
// missed now, it is what the tolerance would have to become.
type End struct {
	// Estimate is where the estimates meet the targets; Proven the last position
	// that is shown to meet them; Possible the first that is shown not to. The
	// true end lies between the last two with the confidence of the run.
	Estimate, Proven, Possible Bound
	// First is the requirement that is missed beyond the end, by its position in
	// Search.Requirements; -1 where none is.
	First int
}

// Window are the positions of a Move at which all requirements are met.
type Window struct {
	Move         Move
	Lower, Upper End // of Lower everything is zero for a Move that is UpOnly
}

// Window looks for the window of a move. Proven and Possible are positions that
// have been evaluated, located to 2 % of their distance from the base or a tenth
// of the distance between them, whichever is more. Errors are those of the runs, of a distribution that
// cannot be moved, and ErrStopped.
func (s *Search) Window(ctx context.Context, m Move) (Window, error) {
	w := Window{Move: m}
	a := &axis{Search: s, ctx: ctx, move: m}
	base := s.base
	base.At = m.Base
	a.points = []Point{base}
	var err error
	if w.Upper, err = a.end(+1); err != nil || m.UpOnly {
		return w, err
	}
	w.Lower, err = a.end(-1)
	return w, err
}

// Evaluate returns the design at a position of a move, on the draws of the
// search.
func (s *Search) Evaluate(ctx context.Context, m Move, at float64) (Point, error) {
	scenario, err := m.scenario(s.run.Scenarios[0], at)
	if err != nil {
		return Point{}, err
	}
	points, err := s.measure(ctx, s.run.Seed, []sim.Scenario{scenario})
	if err != nil {
		return Point{}, err
	}
	points[0].At = at
	return points[0], nil
}

// axis is a move with the positions evaluated so far, rising.
type axis struct {
	*Search
	ctx    context.Context
	move   Move
	points []Point
}

// bracket encloses a bound on a curve between a position inside and one
// outside.
type bracket struct {
	state           State
	inside, outside Point
	width           float64 // before the last refinement; 0 before the first
}

// end finds the upper end, direction 1, or the lower one, -1.
func (a *axis) end(direction int) (End, error) {
	open, err := a.open(direction)
	if err != nil || open {
		all := Bound{State: Open}
		return End{all, all, all, -1}, err
	}
	var brackets [curves]bracket
	for c := range curves {
		if brackets[c], err = a.bracket(c, direction); err != nil {
			return End{}, err
		}
	}
	if err := a.refine(&brackets, float64(direction)); err != nil {
		return End{}, err
	}
	e := End{First: -1}
	for c, bound := range [curves]*Bound{&e.Proven, &e.Estimate, &e.Possible} {
		*bound = a.bound(&brackets[c], c)
	}
	for _, c := range []int{estimate, possible, proven} {
		if brackets[c].state == Found && e.First < 0 {
			e.First = brackets[c].outside.First
		}
	}
	if e.First < 0 && e.Estimate.State == Never {
		e.First = a.base.First
	}
	return e, nil
}

// open reports whether base and farthest position are both proven.
func (a *axis) open(direction int) (bool, error) {
	if !a.base.inside(proven) {
		return false, nil
	}
	farthest := 0
	if direction > 0 {
		farthest = len(a.move.Grid) - 1
	}
	p, err := a.at(farthest)
	return err == nil && p.inside(proven), err
}

// bracket finds the end on a curve roughly: the first position of the grid
// outside it, seen from the base, or when the base is outside the first inside
// it, inward before outward.
func (a *axis) bracket(curve int, direction int) (bracket, error) {
	base := slices.Index(a.move.Grid, a.move.Base)
	start, err := a.walk(curve, base, -direction, true)
	if err != nil {
		return bracket{}, err
	}
	if start < 0 && !a.move.UpOnly {
		if start, err = a.walk(curve, base, direction, true); err != nil {
			return bracket{}, err
		}
	}
	if start < 0 {
		return bracket{state: Never}, nil
	}
	end, err := a.walk(curve, start, direction, false)
	if err != nil || end < 0 {
		return bracket{state: Open}, err
	}
	inside, err := a.at(end - direction)
	if err != nil {
		return bracket{}, err
	}
	outside, err := a.at(end)
	return bracket{state: Found, inside: inside, outside: outside}, err
}

// walk returns the first position of the grid, from one on, that is inside the
// curve or outside it as wanted; -1 where none is.
func (a *axis) walk(curve, from, step int, inside bool) (int, error) {
	for i := from; i >= 0 && i < len(a.move.Grid); i += step {
		p, err := a.at(i)
		if err != nil || p.inside(curve) == inside {
			return i, err
		}
	}
	return -1, nil
}

// at returns the point at a position of the grid.
func (a *axis) at(index int) (Point, error) {
	position := a.move.Grid[index]
	if err := a.evaluate([]float64{position}); err != nil {
		return Point{}, err
	}
	i, _ := a.find(position)
	return a.points[i], nil
}

func (a *axis) find(position float64) (int, bool) {
	return slices.BinarySearchFunc(a.points, position, func(p Point, at float64) int { return cmp.Compare(p.At, at) })
}

// evaluate evaluates those of the positions that are new, in one run.
func (a *axis) evaluate(positions []float64) error {
	var scenarios []sim.Scenario
	var fresh []float64
	for _, at := range positions {
		if _, known := a.find(at); known || slices.Contains(fresh, at) {
			continue
		}
		scenario, err := a.move.scenario(a.run.Scenarios[0], at)
		if err != nil {
			return err
		}
		scenarios, fresh = append(scenarios, scenario), append(fresh, at)
	}
	if len(scenarios) == 0 {
		return nil
	}
	points, err := a.measure(a.ctx, a.run.Seed, scenarios)
	if err != nil {
		return err
	}
	for i, p := range points {
		p.At = fresh[i]
		at, _ := a.find(p.At)
		a.points = slices.Insert(a.points, at, p)
	}
	return nil
}

// refine narrows the brackets, every point serving all of them.
func (a *axis) refine(brackets *[curves]bracket, direction float64) error {
	for {
		var positions []float64
		known := knownWidth(brackets)
		for _, c := range []int{proven, possible, estimate} {
			if c == estimate && len(positions) > 0 {
				break // the points of the others serve it too
			}
			b := &brackets[c]
			if tolerance := a.tolerance(*b, c, known); b.state == Found && math.Abs(b.outside.At-b.inside.At) > tolerance {
				positions = append(positions, b.next(a.crossing(b, c), tolerance)...)
			}
		}
		if len(positions) == 0 {
			return nil
		}
		if err := a.evaluate(positions); err != nil {
			return err
		}
		for c := range brackets {
			if brackets[c].state == Found {
				brackets[c].tighten(c, a.points, direction)
			}
		}
	}
}

// knownWidth is the least distance between Proven and Possible that the brackets
// leave; 0 where they overlap or one is not found.
func knownWidth(brackets *[curves]bracket) float64 {
	p, q := brackets[proven], brackets[possible]
	if p.state != Found || q.state != Found {
		return 0
	}
	least, most := q.inside.At-p.outside.At, q.outside.At-p.inside.At
	if least*most <= 0 {
		return 0
	}
	return math.Abs(least)
}

// tolerance is how narrow a bracket has to be, given the distance between Proven
// and Possible. The estimate is interpolated, so that it needs less.
func (a *axis) tolerance(b bracket, curve int, known float64) float64 {
	distance := math.Abs((b.inside.At+b.outside.At)/2 - a.move.Base)
	t := math.Max(math.Max(a.move.Finest, 0.02*distance), 0.1*known)
	if curve == estimate {
		t *= 5
	}
	return t
}

// next proposes two positions that enclose the bound closely, or the thirds of
// a bracket that the last two did not halve.
func (b *bracket) next(expected, tolerance float64) []float64 {
	from, width := b.inside.At, b.outside.At-b.inside.At
	slow := b.width != 0 && math.Abs(width) > math.Abs(b.width)/2
	b.width = width
	if slow {
		return []float64{from + width/3, from + width*2/3}
	}
	share := (expected - from) / width
	margin := math.Max(0.06, 0.4*tolerance/math.Abs(width))
	return []float64{from + width*math.Max(share-margin, 0.03), from + width*math.Min(share+margin, 0.97)}
}

// crossing is the position between inside and outside at which the curve is
// expected to reach 1.
func (a *axis) crossing(b *bracket, curve int) float64 {
	target := a.Requirements()[b.outside.First].Target
	x, back := a.move.straight()
	from, to := a.straightScore(b.inside.scores[curve], target), a.straightScore(b.outside.scores[curve], target)
	share := (a.straightScore(1, target) - from) / (to - from)
	if !(share >= 0 && share <= 1) { // both beyond what straightScore tells apart
		share = 0.5
	}
	return back(x(b.inside.At) + (x(b.outside.At)-x(b.inside.At))*share)
}

// straightScore turns a score, a probability over its target, into what is
// nearly straight along straight positions. With z the normal score of the
// probability: a normal output that moves by δ has z linear in δ, one whose
// spread grows by f has 1/z² linear in f², and a mixture has the probability
// itself linear in its share.
func (a *axis) straightScore(score, target float64) float64 {
	const least, most = 1e-3, 0.3 // probabilities over their target; probabilities
	z := dist.NormalQuantile(math.Min(math.Max(score, least)*target, most))
	switch a.move.Kind {
	case Spread, Size:
		return 1 / (z * z)
	case Mean:
		return z
	case Share:
		return score
	}
	return math.Log(math.Max(score, least))
}

// tighten moves the ends to the first position outside and the one before it.
func (b *bracket) tighten(curve int, points []Point, direction float64) {
	from, to := b.inside.At, b.outside.At
	between := func(p Point) bool { return (p.At-from)*direction > 0 && (to-p.At)*direction > 0 }
	for i := range points {
		p := points[i]
		if direction < 0 {
			p = points[len(points)-1-i]
		}
		switch {
		case !between(p):
		case p.inside(curve):
			b.inside = p
		default:
			b.outside = p
			return
		}
	}
}

// bound is the bound that a bracket encloses: for what is proven its last
// position inside, for what is possible its first outside.
func (a *axis) bound(b *bracket, curve int) Bound {
	if b.state != Found {
		return Bound{State: b.state}
	}
	switch curve {
	case proven:
		return Bound{Found, b.inside.At}
	case possible:
		return Bound{Found, b.outside.At}
	}
	return Bound{Found, a.crossing(b, curve)}
}
