package decide

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"clampodds/sim"
)

// side is an end of the window.
type side int

const (
	lower side = iota
	upper
)

const (
	gridPoints  = 10
	gridShare   = 0.1  // of the samples, for each point of the grid
	leastGrid   = 2000 // rows for it
	mostRounds  = 12   // of refinement of a side
	curveRounds = 4    // of refinement of one curve
	// scoreStep is how far from the end, in the score, the points lie between which
	// it is interpolated: more than the intervals are wide.
	scoreStep = 0.25
)

// search is a look for a window under way.
type search struct {
	*Adjust
	ctx    context.Context
	curves []*course
	missed []Missed
	found  *sim.Result // the last run, at full size as soon as there is one
	full   bool
}

// course is a curve being looked at.
type course struct {
	*Curve
	wanted  float64 // score of the target
	counted bool
	peak    float64 // setting of the largest margin on the grid
	rounds  [2]int  // of refinement, by side
	sharp   int64   // rows from which a counted point is sharp
}

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
			s.curves = append(s.curves, &course{
				Curve: &Curve{Requirement: q}, wanted: score(q.Target), counted: s.counted(first.Inputs, q.Target), sharp: s.Run.Samples,
			})
		}
	}
	if len(s.curves) == 0 {
		return nil
	}
	samples := max(int64(gridShare*float64(s.Run.Samples)), min(leastGrid, s.Run.Samples))
	if s.found, err = s.count(slices.Compact(settings), samples); err != nil {
		return err
	}
	for _, c := range s.curves {
		// Common draws make the margin smooth, however rare an exceedance is.
		c.peak = slices.MaxFunc(c.Points, func(p, q Point) int { return cmp.Compare(p.margin, q.margin) }).Setting
		c.relocate()
	}
	return nil
}

// count runs settings on common draws and adds the points of all curves.
func (s *search) count(settings []float64, samples int64) (*sim.Result, error) {
	var scenarios []sim.Scenario
	for _, at := range settings {
		scenario, err := s.At(at)
		if err != nil {
			return nil, err
		}
		scenario.Name = fmt.Sprint(at)
		scenarios = append(scenarios, scenario)
	}
	run := s.Run
	run.Samples, run.Scenarios = samples, scenarios
	if samples < s.Run.Samples { // one at full size tells of all outputs that are constant
		for _, c := range s.curves {
			run.Only = append(run.Only, c.Requirement.Output)
		}
	}
	found, err := complete(s.ctx, &run)
	if err != nil {
		return nil, err
	}
	for i, scenario := range found.Scenarios {
		for _, c := range s.curves {
			c.add(countedPoint(settings[i], scenario, c.Requirement))
		}
	}
	return found, nil
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

// isSharp tells points at full size or by the tail methods.
func (c *course) isSharp(p Point) bool { return p.Tail || c.counted && p.N >= c.sharp }

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
	return locate(points, c.wanted, c.isSharp)
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
