package decide

import (
	"cmp"
	"math"
	"slices"

	"clampodds/sim"
)

// confirmMissed looks closer at the requirements that seem to hold nowhere.
func (s *search) confirmMissed() error {
	for _, c := range s.curves {
		if !math.IsInf(c.Lower.Setting, 1) && !math.IsInf(c.Upper.Setting, -1) {
			continue
		}
		if err := s.evaluate(c, lower, []float64{c.peak}); err != nil {
			return err
		}
		at := slices.IndexFunc(c.Points, func(p Point) bool { return p.Setting == c.peak })
		best := c.Points[at]
		if best.value() >= c.wanted {
			continue
		}
		m := Missed{Requirement: c.Requirement.Name, Target: c.Requirement.Target, Best: best, Flat: c.flat(at)}
		scenario, err := s.At(c.peak)
		if err != nil {
			return err
		}
		found, err := s.tail(scenario, c.Requirement, s.Run.Confidence)
		if err != nil {
			return err
		}
		m.Inputs = found.shares
		s.missed = append(s.missed, m)
	}
	return nil
}

// flatness is the rise of the score per tenth of the setting below which the
// setting hardly matters: a fifth of the probability near 1e-3.
const flatness = 0.06

// flat reports whether the score hardly rises toward the point.
func (c *course) flat(at int) bool {
	p := c.Points[at]
	for _, neighbour := range []int{at - 1, at + 1} {
		if neighbour < 0 || neighbour >= len(c.Points) {
			continue
		}
		q := c.Points[neighbour]
		if (p.value()-q.value())/math.Abs(q.Setting/p.Setting-1)*0.1 > flatness {
			return false
		}
	}
	return true
}

// settle refines the curve that sets the end of a side until it is sharp.
func (s *search) settle(d side) error {
	for range mostRounds {
		c := s.binding(d)
		if c == nil || c.settled(d) {
			return nil
		}
		if err := s.refine(c, d); err != nil {
			return err
		}
	}
	return nil
}

// binding is the course with the innermost safe end of a side, nil where none
// has one.
func (s *search) binding(d side) *course {
	var worst *course
	for _, c := range s.curves {
		if s.isMissed(c) || math.IsInf(c.end(d).High, -1) {
			continue
		}
		if worst == nil || further(c.end(d), worst.end(d)) {
			worst = c
		}
	}
	return worst
}

func (s *search) isMissed(c *course) bool {
	return slices.ContainsFunc(s.missed, func(m Missed) bool { return m.Requirement == c.Requirement.Name })
}

// further compares ends of one side, rising inward.
func further(a, b End) bool {
	if a.High != b.High {
		return a.High > b.High
	}
	return a.Setting > b.Setting
}

// end is the end of a side, mirrored for the upper one so that it rises inward.
func (c *course) end(d side) End {
	if d == lower {
		return c.Lower
	}
	return c.Upper.mirrored()
}

// settled reports whether sharp points closely enclose the end and its safe
// side.
func (c *course) settled(d side) bool {
	if c.rounds[d] >= curveRounds {
		return true
	}
	e := c.end(d)
	outside, inside := math.IsInf(e.Setting, -1), false
	for _, p := range c.pointsOf(d) {
		if !p.sharp {
			continue
		}
		near := math.Abs(p.value()-c.wanted) < 3*scoreStep
		outside = outside || near && p.Setting < e.Setting
		inside = inside || near && p.Setting >= e.High || e.High <= p.Setting && math.IsInf(e.Setting, -1)
	}
	return inside && outside
}

// refine adds points about the end of a side.
func (s *search) refine(c *course, d side) error {
	c.rounds[d]++
	if c.byTail() {
		return s.refineTails(c, d)
	}
	e := c.end(d)
	var settings []float64
	for _, p := range c.pointsOf(d) {
		near := !math.IsInf(e.Setting, 0) && math.Abs(p.value()-c.wanted) < shownScore
		if open := p.High > c.Requirement.Target && p.Low <= c.Requirement.Target; !p.sharp && (near || open) {
			settings = append(settings, p.Setting)
		}
	}
	if !math.IsInf(e.Setting, 0) {
		step := c.step(e.Setting, e.Slope)
		settings = append(settings, e.Setting-step, e.Setting+step)
		if c.rounds[d] > 2 && !math.IsInf(e.High, 0) {
			settings = append(settings, e.High+step)
		}
	}
	return s.evaluate(c, d, settings)
}

// step is how far from an end it is closed in.
func (c *course) step(at, slope float64) float64 {
	step := scoreStep / slope
	if !(step > 0) || step > 0.1*math.Abs(at) {
		step = 0.1 * math.Abs(at)
	}
	return step
}

// refineTails adds points by the tail methods.
func (s *search) refineTails(c *course, d side) error {
	e := c.end(d)
	switch {
	case s.shownElsewhere(c, d):
		return s.showAt(c, d, s.estimatedEnd(c, d, byRows))
	case math.IsInf(e.Setting, 0):
		return s.showAt(c, d, s.farOut(c, d))
	case c.rounds[d] == 1:
		return s.evaluate(c, d, []float64{e.Setting}) // a guess only
	}
	at, slope := c.aim(d)
	step := c.step(at, slope)
	return s.evaluate(c, d, []float64{at - step, at + step})
}

// aim is where the end is to be looked for and the slope there. Tail points are
// few, and guesses beside them lead astray: the secant through the two nearest to
// the end, or the slope of the guesses through a single one.
func (c *course) aim(d side) (at, slope float64) {
	e := c.end(d)
	var settings, values []float64 // of the guesses
	var tails []Point
	for _, p := range c.pointsOf(d) {
		switch {
		case !p.Tail:
			settings, values = append(settings, p.Setting), append(values, p.value())
		case p.Value > 0:
			tails = append(tails, p)
		}
	}
	if len(tails) == 0 {
		return e.Setting, e.Slope
	}
	slices.SortStableFunc(tails, func(p, q Point) int {
		return cmp.Compare(math.Abs(p.value()-c.wanted), math.Abs(q.value()-c.wanted))
	})
	nearest := tails[0]
	_, slope = reach(settings, values, c.wanted)
	if len(tails) > 1 {
		slope = (tails[1].value() - nearest.value()) / (tails[1].Setting - nearest.Setting)
	}
	if !(slope > 0) {
		return e.Setting, e.Slope
	}
	return nearest.Setting + (c.wanted-nearest.value())/slope, slope
}

// within turns a setting of a side, mirrored for the upper one, into one between
// From and To.
func (s *search) within(d side, at float64) float64 {
	if d == upper {
		at = -at
	}
	return math.Min(math.Max(at, s.From), s.To)
}

func byRows(c *course) bool { return !c.byTail() }

// estimatedEnd is the innermost estimate on a side of the other curves that count.
func (s *search) estimatedEnd(c *course, d side, counts func(*course) bool) float64 {
	at := math.Inf(-1)
	for _, other := range s.curves {
		if other != c && counts(other) && !s.isMissed(other) {
			at = math.Max(at, other.end(d).Setting)
		}
	}
	return at
}

// shownElsewhere reports whether another curve seems to end well inside of c,
// which then need only be shown to hold there.
func (s *search) shownElsewhere(c *course, d side) bool {
	at, e := s.estimatedEnd(c, d, byRows), c.end(d)
	return c.rounds[d] == 1 && !math.IsInf(at, 0) && at-e.Setting > 0.02*math.Abs(at)
}

// farOut is where a requirement that seems to hold throughout is to be shown to
// hold: as far out as was looked, or, where that was tried and not established,
// just beyond where another curve seems to end the window.
func (s *search) farOut(c *course, d side) float64 {
	outermost := c.pointsOf(d)[0].Setting
	if c.rounds[d] == 1 {
		return outermost
	}
	at := s.estimatedEnd(c, d, func(other *course) bool { return !math.IsInf(other.end(d).Setting, 0) })
	beyond := 0.05 * float64(c.rounds[d]-1)
	return math.Max(outermost, at-beyond*math.Abs(at))
}

// showAt shows by the tail methods that a requirement holds at a setting.
func (s *search) showAt(c *course, d side, at float64) error {
	setting := s.within(d, at)
	found, err := s.count([]float64{setting})
	if err != nil {
		return err
	}
	scenario, err := s.At(setting)
	if err != nil {
		return err
	}
	shown, err := s.show(scenario, found[0], c.Requirement, c.Requirement.Target, s.Run.Confidence)
	if err != nil {
		return err
	}
	c.addTail(setting, shown)
	return nil
}

// evaluate adds sharp points of a curve at settings of a side, mirrored for the upper one.
func (s *search) evaluate(c *course, d side, settings []float64) error {
	for i, at := range settings {
		settings[i] = s.within(d, at)
	}
	slices.Sort(settings)
	settings = slices.Compact(settings)
	switch {
	case len(settings) == 0:
		return nil
	case c.byTail():
		return s.evaluateTails(c, settings)
	}
	designs := make([]sim.Scenario, len(settings))
	for i, at := range settings {
		var err error
		if designs[i], err = s.At(at); err != nil {
			return err
		}
	}
	if c.rows[d] == nil {
		var err error
		if c.rows[d], err = s.newCourse(s.ctx, designs[0], c.Requirement, courseRows); err != nil {
			return err
		}
	}
	found, err := c.rows[d].At(s.ctx, designs...)
	if err != nil {
		return stopped(s.ctx, err)
	}
	for i, e := range found {
		c.addSharp(Point{Setting: settings[i], Estimate: e})
	}
	return nil
}

// evaluateTails adds points by the tail methods.
func (s *search) evaluateTails(c *course, settings []float64) error {
	found := make([]tailEstimate, len(settings))
	err := s.concurrently(s.ctx, len(settings), func(i int) error {
		scenario, err := s.At(settings[i])
		if err != nil {
			return err
		}
		found[i], err = s.tail(scenario, c.Requirement, s.Run.Confidence)
		return err
	})
	if err != nil {
		return err
	}
	for i, t := range found {
		c.addTail(settings[i], t)
	}
	return nil
}

// addTail adds a point by the tail methods.
func (c *course) addTail(setting float64, t tailEstimate) {
	c.addSharp(Point{Setting: setting, Estimate: t.Estimate, Tail: true})
}

// addSharp adds a sharp point; where nothing exceeds, the guess of the first look stays.
func (c *course) addSharp(p Point) {
	p.sharp, p.guess = true, math.Inf(1)
	if at := slices.IndexFunc(c.Points, func(q Point) bool { return q.Setting == p.Setting }); at >= 0 {
		p.guess = c.Points[at].guess
	}
	c.add(p)
	c.relocate()
}

// bound is the end of the window on a side.
func (s *search) bound(d side) Bound {
	b := Bound{End: unbounded}
	if c := s.binding(d); c != nil {
		b.Requirement, b.End = c.Requirement.Name, c.end(d)
	}
	b.Safe = s.within(d, b.High)
	if d == upper {
		b.End = b.mirrored()
	}
	return b
}
