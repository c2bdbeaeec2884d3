package question

import (
	"context"
	"fmt"
	"math"
	"slices"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/reports/figure"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// contactFactorKey is what multiplies the conductance of every face.
const contactFactorKey = "contact.factor"

// What is explored: so many torques, and limits of the temperature on either side of the
// study's, each on so many cards at most.
const (
	exploreTorques = 15
	exploreLimits  = 15
	exploreCards   = 20000
	exploreFactors = 20
	exploreSteps   = 5 // of the slider between two torques
)

// Exploring asks how often the limits are exceeded at torques from one to another.
type Exploring struct {
	Sampling
	Progress Progress
	From, To float64
	// Condition is looked at beside the study as written; empty for none.
	Condition string
	whole     bool // every card at every setting: for the tests
}

// Explore counts single cards, on draws common to all torques.
func (x *Exploring) Explore(ctx context.Context, s *study.Study) (*reports.Explore, error) {
	studies := []*study.Study{s}
	derived, err := inCondition(s, x.Condition)
	if err != nil {
		return nil, err
	}
	if derived != s {
		studies = append(studies, derived)
	}
	in := s.Input(TorqueKey)
	e := &reports.Explore{Factors: exploredFactors(s), Steps: exploreSteps, Shown: ShownUnit(in.Nominal, in.Parameter.Unit, in.Unit)}
	torques, now := around(in.Nominal, x.From, x.To, exploreTorques, e.Shown)
	e.Now = now
	e.Torques = torques
	allowed := &torque{study: s, Adjust: decide.Adjust{Now: in.Nominal, From: torques[0], To: torques[len(torques)-1]}}
	e.Least, e.Most = allowed.leastSetting(), allowed.mostSetting()
	limits := exploredLimits(s)
	var ladders []ladder
	for _, of := range studies {
		atTorques, err := x.ladder(s, torques, limits, func(t float64) (*study.Study, float64) { return of, t })
		if err != nil {
			return nil, err
		}
		atFactors, err := x.ladder(s, e.Factors, limits, func(f float64) (*study.Study, float64) { return of.Known(contactFactorKey, f), in.Nominal })
		if err != nil {
			return nil, err
		}
		ladders = append(ladders, atTorques, atFactors)
	}
	found, err := x.count(ctx, s, ladders)
	if err != nil {
		return nil, err
	}
	e.Cards, e.Level = found.Rows, found.Confidence
	at := found.Scenarios
	for k, of := range studies {
		c := reports.ExploreCondition{Name: AsWritten}
		if of.ConditionName != "" {
			c.Name = of.ConditionName
		}
		var by [2][]sim.ScenarioResult
		for i, l := range ladders[2*k : 2*k+2] {
			by[i], at = bySetting(at[:len(l)]), at[len(l):]
		}
		c.Requirements = explored(s, limits, by[0], by[1])
		e.Conditions = append(e.Conditions, c)
	}
	return e, nil
}

func (x *Exploring) count(ctx context.Context, s *study.Study, ladders []ladder) (*sim.Result, error) {
	run := x.Run(s)
	for _, l := range ladders {
		first := len(run.Scenarios)
		for i, step := range l {
			step.Name = fmt.Sprint(first + i)
			run.Scenarios = append(run.Scenarios, step)
			if !x.whole {
				run.Spares = append(run.Spares, sparedBy(first, i))
			}
		}
	}
	run.Samples, run.LimitsOnly, run.NoPairs, run.Sampler = min(run.Samples, exploreCards), true, true, sim.Random{}
	show, clear := x.Progress.start("explored cards")
	run.Progress = show
	found, err := run.Execute(ctx)
	clear()
	if err != nil {
		return nil, err
	}
	if !found.Complete {
		return nil, ErrInterrupted
	}
	return found, nil
}

// ladder are the scenarios at settings of one thing, from the first to the last: the ends before what lies
// between. Each output rises or falls along it, so that a card which keeps clear of every limit at two
// settings does so between them and is not evaluated there.
type ladder []sim.Scenario

// ladder makes one.
func (x *Exploring) ladder(s *study.Study, settings []float64, limits []sim.Requirement, at func(setting float64) (*study.Study, float64)) (l ladder, err error) {
	limits = withClearance(s, limits)
	for step := range settings {
		of, torque := at(settings[settingOf(step, len(settings))])
		one, err := x.scenario(of, torque, limits)
		if err != nil {
			return nil, err
		}
		l = append(l, one)
	}
	return l, nil
}

// settingOf is the place of a step among so many settings: the last comes second.
func settingOf(step, settings int) int {
	switch step {
	case 0:
		return 0
	case 1:
		return settings - 1
	}
	return step - 1
}

// sparedBy are those that spare cards of a step: the last setting and the one before it.
func sparedBy(first, step int) []int {
	switch step {
	case 0, 1:
		return nil
	case 2:
		return []int{first, first + 1}
	}
	return []int{first + 1, first + step - 1}
}

// bySetting brings what was found back into the order of the settings.
func bySetting(found []sim.ScenarioResult) []sim.ScenarioResult {
	ordered := make([]sim.ScenarioResult, len(found))
	for step, f := range found {
		ordered[settingOf(step, len(found))] = f
	}
	return ordered
}

// What a card keeps from a limit to be clear of it: more than it turns back by along a ladder, where it
// does not only rise or fall.
const (
	clearKelvin = 0.5
	clearShare  = 0.02 // of a limit that is no temperature
)

// withClearance adds a stricter limit to every output.
func withClearance(s *study.Study, limits []sim.Requirement) []sim.Requirement {
	all := slices.Clone(limits)
	for i := range s.Limits {
		clearOf := sim.Requirement{Name: "clear of " + s.Limits[i].Name, Output: s.Limits[i].Output, Limit: math.Inf(1)}
		for _, q := range limits {
			if q.Output == clearOf.Output {
				clearOf.Limit = min(clearOf.Limit, q.Limit)
			}
		}
		if s.Limits[i].Quantity == units.Temperature {
			clearOf.Limit -= clearKelvin
		} else {
			clearOf.Limit *= 1 - clearShare
		}
		all = append(all, clearOf)
	}
	return all
}

// scenario is a study at a torque, a card to a chassis, with the limits explored.
func (x *Exploring) scenario(s *study.Study, torque float64, limits []sim.Requirement) (sim.Scenario, error) {
	if torque != s.Input(TorqueKey).Nominal {
		var err error
		if s, err = s.WithTorque(torque); err != nil {
			return sim.Scenario{}, err
		}
	}
	alone := *s
	alone.Run.CardsPerChassis = 1
	one, err := Scenario(&alone, s.Title)
	one.Requirements = limits
	return one, err
}

// exploredLimits are the study's limits that stay, then the temperature limit that moves
// with what lies about it.
func exploredLimits(s *study.Study) (limits []sim.Requirement) {
	var main *study.Limit
	for i := range s.Limits {
		l := &s.Limits[i]
		if l.Output == mainOutput(s) && main == nil {
			main = l
			continue
		}
		limits = append(limits, sim.Requirement{Name: l.Name, Output: l.Output, Limit: l.Max, Target: l.Target})
	}
	if main == nil {
		return limits
	}
	step := exploreStep(main)
	for k := -exploreLimits; k <= exploreLimits; k++ {
		limits = append(limits, sim.Requirement{Name: fmt.Sprint(main.Name, " ", k), Output: main.Output, Limit: main.Max + float64(k)*step, Target: main.Target})
	}
	return limits
}

// exploreStep is half a kelvin, or a degree Fahrenheit where the limit is in those.
func exploreStep(l *study.Limit) float64 {
	if ShownUnit(l.Max, string(l.Quantity), l.Unit).Label == "°F" {
		return 5.0 / 9
	}
	return 0.5
}

// explored turns the counts at every torque into what is reported.
func explored(s *study.Study, limits []sim.Requirement, torques, factors []sim.ScenarioResult) (list []reports.ExploreRequirement) {
	moved := len(limits) - (2*exploreLimits + 1)
	for i, l := range limits {
		q := reports.ExploreRequirement{Label: reports.Label(l.Output), Limit: l.Limit, Target: l.Target, Moved: i >= moved, Own: i == moved+exploreLimits}
		for k := range s.Limits {
			if own := &s.Limits[k]; own.Output == l.Output {
				q.Unit, q.Shown = string(own.Quantity), ShownUnit(own.Max, string(own.Quantity), own.Unit)
			}
		}
		q.Points, q.AtFactors = exploredPoints(torques, i), exploredPoints(factors, i)
		list = append(list, q)
	}
	return list
}

func exploredPoints(at []sim.ScenarioResult, requirement int) (points []reports.ExplorePoint) {
	for _, one := range at {
		p := one.Requirements[requirement].Exceeded.PerRow()
		points = append(points, reports.ExplorePoint{Value: p.Value, Interval: p.Interval})
	}
	return points
}

// exploredFactors are round contact factors from the first to the 99th percentile of what
// the study takes it to be, or as far on either side of one that it takes as known; none
// where it is drawn together with others.
func exploredFactors(s *study.Study) []float64 {
	in := s.Input(contactFactorKey)
	if in == nil || in.RestsOnReadings() || slices.ContainsFunc(s.Correlations, func(c study.Correlation) bool { return c.A == in.Key || c.B == in.Key }) {
		return nil // what is drawn with it would have to follow
	}
	low, high := 0.5*in.Nominal, 1.5*in.Nominal
	if in.Dist != nil {
		low, high = in.Dist.Quantile(0.01), in.Dist.Quantile(0.99)
	}
	factors, _ := around(in.Nominal, low, high, exploreFactors, reports.Unit{Of: func(x float64) float64 { return x }})
	return factors
}

// around are settings in round steps of the unit shown about one of them, from one to
// another at most, and its place.
func around(now, from, to float64, most int, unit reports.Unit) (settings []float64, place int) {
	step := figure.RoundStep(unit.Of(to-from)/float64(most-1)) / unit.Of(1)
	for k := -most; k <= most; k++ {
		x := now + float64(k)*step
		if k == 0 {
			place, x = len(settings), now
		} else if x < from*(1-1e-9) || x > to*(1+1e-9) {
			continue
		}
		settings = append(settings, x)
	}
	return settings, place
}
