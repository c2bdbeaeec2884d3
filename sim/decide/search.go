package decide

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"clampodds/sim"
	"clampodds/sim/strata"
)

// side is an end of the window.
type side int

const (
	lower side = iota
	upper
)

const (
	gridPoints = 10
	// GridRows are the single cards at each setting of the grid.
	GridRows = 4096
	// courseRows are the rows about the limit, the same at all settings of a side, besides those
	// that bound what is not seen.
	courseRows  = 3000
	mostRounds  = 12 // of refinement of a side
	curveRounds = 4  // of refinement of one curve
	// scoreStep is how far from the end, in the score, the points lie between which
	// it is interpolated: more than the intervals are wide.
	scoreStep = 0.25
	// shownScore is how far from the end, in the score, the settings of the grid get the
	// rows about the limit too.
	shownScore = 0.6
)

// search is a look for a window under way.
type search struct {
	*Adjust
	ctx    context.Context
	curves []*course
	missed []Missed
}

// course is a curve being looked at.
type course struct {
	*Curve
	wanted float64           // score of the target
	peak   float64           // setting of the largest margin on the grid
	rounds [2]int            // of refinement, by side
	rows   [2]*strata.Course // about the limit, by side
}

// byTail says that the tail methods serve.
func (c *course) byTail() bool { return belowStrata(c.Requirement) }

// explore looks at a grid of settings.
func (s *search) explore() error {
	settings := []float64{s.Now}
	for i := range gridPoints {
		share := float64(i) / (gridPoints - 1)
		at := s.From + share*(s.To-s.From)
		if s.From > 0 {
			at = s.From * math.Pow(s.To/s.From, share)
		}
		settings = append(settings, at)
	}
	settings[len(settings)-1] = s.To
	slices.Sort(settings)
	first, err := s.At(s.Now)
	if err != nil {
		return err
	}
	for _, q := range first.Requirements {
		if q.Target > 0 {
			s.curves = append(s.curves, &course{Curve: &Curve{Requirement: q}, wanted: score(q.Target)})
		}
	}
	if len(s.curves) == 0 {
		return nil
	}
	settings = slices.Compact(settings)
	found, err := s.count(settings)
	if err != nil {
		return err
	}
	for _, c := range s.curves {
		for i, scenario := range found {
			c.add(countedPoint(settings[i], scenario, c.Requirement))
		}
		// Common draws make the margin smooth, however rare an exceedance is.
		c.peak = slices.MaxFunc(c.Points, func(p, q Point) int { return cmp.Compare(p.margin, q.margin) }).Setting
		c.relocate()
	}
	return nil
}

// count runs single cards at settings, on common draws.
func (s *search) count(settings []float64) ([]sim.ScenarioResult, error) {
	run := s.Run
	run.Samples, run.Scenarios = GridRows, nil
	for _, at := range settings {
		scenario, err := s.At(at)
		if err != nil {
			return nil, err
		}
		scenario.Name = fmt.Sprint(at)
		scenario.Inputs = scenario.Inputs.Single()
		run.Scenarios = append(run.Scenarios, scenario)
	}
	for _, c := range s.curves {
		run.Only = append(run.Only, c.Requirement.Output)
	}
	found, err := complete(s.ctx, &run)
	if err != nil {
		return nil, err
	}
	return found.Scenarios, nil
}

// countedPoint is the point of a requirement in a scenario that has it.
func countedPoint(setting float64, scenario sim.ScenarioResult, q sim.Requirement) Point {
	at := slices.IndexFunc(scenario.Requirements, func(r sim.RequirementResult) bool { return r.Requirement.Name == q.Name })
	p := Point{Setting: setting, Estimate: scenario.Requirements[at].Exceeded.PerRow(), guess: math.NaN(), margin: math.NaN()}
	if quantity, ok := quantityOf(scenario, q.Output); ok {
		b := guessNormal(quantity, q)
		p.guess, p.margin = b.score(q.Limit), math.Abs(q.Limit-b.edge)
		if b.score(q.Limit) < b.score(b.edge) {
			p.margin = -p.margin
		}
	}
	return p
}

// relocate finds the ends from the points on either side of the peak.
func (c *course) relocate() {
	c.Lower = c.locate(lower)
	c.Upper = c.locate(upper).mirrored()
}

// locate finds the end of a side, rising inward. A curve that is at its best at
// the end of the search has none on that side.
func (c *course) locate(d side) End {
	points := c.pointsOf(d)
	if len(points) == 1 && points[0].value() >= c.wanted {
		return unbounded
	}
	return locate(points, c.wanted)
}

// pointsOf returns the points of a side in the order of rising score; those of
// the upper side are mirrored.
func (c *course) pointsOf(d side) []Point {
	at := slices.IndexFunc(c.Points, func(p Point) bool { return p.Setting == c.peak })
	if d == lower {
		return c.Points[:at+1]
	}
	points := slices.Clone(c.Points[at:])
	slices.Reverse(points)
	for i := range points {
		points[i].Setting = -points[i].Setting
	}
	return points
}
