package decide

import (
	"math"
	"slices"

	"clampodds/sim"
	"clampodds/sim/rare"
	"clampodds/sim/tail"
)

// The events of a discordant problem.
const (
	onlyOther = iota
	onlyFirst
)

// discordant is the problem of the rows that exceed a requirement in one of two
// designs and not in the other. Variables of one name have one coordinate.
type discordant struct {
	designs [2]design // first, other
	dim     int
}

// design is one of the two with the place of its variables in the joint space.
type design struct {
	problem rare.Problem
	place   []int
	unit    []float64 // by event: |g| at the origin
}

func newDiscordant(first, other *tail.State) discordant {
	var pair discordant
	var names []string
	for d, state := range []*tail.State{first, other} {
		pair.designs[d].problem = state.Problem()
		for _, v := range state.Inputs().Variables() {
			at := slices.Index(names, v.Name)
			if at < 0 {
				at = len(names)
				names = append(names, v.Name)
			}
			pair.designs[d].place = append(pair.designs[d].place, at)
		}
	}
	pair.dim = len(names)
	for d := range pair.designs {
		pair.designs[d].measure()
	}
	return pair
}

// measure sets the units in which a design's events are compared.
func (d *design) measure() {
	origin := [][]float64{make([]float64, len(d.place))}
	for _, g := range d.limitStates(origin) {
		unit := math.Abs(g[0])
		if !(unit > 1e-300 && unit <= math.MaxFloat64) {
			unit = 1
		}
		d.unit = append(d.unit, unit)
	}
}

// limitStates evaluates the design's events at rows of its own coordinates.
func (d *design) limitStates(u [][]float64) [][]float64 {
	g := make([][]float64, d.problem.Events)
	for e := range g {
		g[e] = make([]float64, len(u))
	}
	d.problem.Evaluate(u, g)
	return g
}

// depth is the least limit state of each row of the joint space: at or below 0
// where the design exceeds.
func (d *design) depth(u [][]float64) []float64 {
	own := make([][]float64, len(u))
	for r, row := range u {
		own[r] = make([]float64, len(d.place))
		for i, at := range d.place {
			own[r][i] = row[at]
		}
	}
	depth := make([]float64, len(u))
	for e, g := range d.limitStates(own) {
		for r, value := range g {
			value /= d.unit[e]
			if e == 0 || value < depth[r] {
				depth[r] = value
			}
		}
	}
	return depth
}

// problem has the events onlyOther and onlyFirst.
func (pair discordant) problem() rare.Problem {
	return rare.Problem{Dim: pair.dim, Events: 2, Evaluate: func(u, g [][]float64) {
		first, other := pair.designs[0].depth(u), pair.designs[1].depth(u)
		for r := range u {
			g[onlyOther][r] = math.Max(other[r], -first[r])
			g[onlyFirst][r] = math.Max(first[r], -other[r])
		}
	}}
}

// tailPair is what the tail methods say about a requirement in two designs.
type tailPair struct {
	first, other         sim.Estimate
	onlyFirst, onlyOther sim.Estimate
}

// pairLevel is the level of the estimates of a pair.
func pairLevel(confidence float64) float64 { return 1 - (1-confidence)/2 }

// pairTails estimates both probabilities and those of exceeding in one only. Each
// one-sided end is right with a quarter of the chance of error of the run, so that
// the four that a bound rests on are right together.
func (s *Setup) pairTails(first, other sim.Scenario, q sim.Requirement) (tailPair, error) {
	var p tailPair
	level := pairLevel(s.Run.Confidence)
	for _, one := range []struct {
		scenario sim.Scenario
		to       *sim.Estimate
	}{{first, &p.first}, {other, &p.other}} {
		found, err := s.tail(one.scenario, q, level)
		if err != nil {
			return p, err
		}
		*one.to = found.Estimate
	}
	before, err := s.state(first, q)
	if err != nil {
		return p, err
	}
	after, err := s.state(other, q)
	if err != nil {
		return p, err
	}
	r, err := rare.Estimate(newDiscordant(before, after).problem(), s.options(q.Name, level))
	if err != nil {
		return p, err
	}
	p.onlyOther, p.onlyFirst = fromRare(r, r.Events[onlyOther]), fromRare(r, r.Events[onlyFirst])
	return p, nil
}

// bounds of other - (1+share) first: from the rows that tell the designs apart
// and from the two probabilities by themselves, whichever is closer.
func (p tailPair) bounds(share float64) (low, high float64) {
	high = math.Min(p.onlyOther.High-p.onlyFirst.Low-share*p.first.Low, p.other.High-(1+share)*p.first.Low)
	low = math.Max(p.onlyOther.Low-p.onlyFirst.High-share*p.first.High, p.other.Low-(1+share)*p.first.High)
	return low, high
}

// difference is other - first: by the rows that tell the designs apart or by the
// two probabilities themselves, whichever is known more closely.
func (p tailPair) difference(level float64) Difference {
	d := Difference{Value: p.onlyOther.Value - p.onlyFirst.Value, Level: level, Tail: true}
	d.Low, d.High = p.bounds(0)
	if width(p.other)+width(p.first) < width(p.onlyOther)+width(p.onlyFirst) {
		d.Value = p.other.Value - p.first.Value
	}
	d.Value = math.Min(math.Max(d.Value, d.Low), d.High)
	return d
}

func width(e sim.Estimate) float64 { return e.High - e.Low }
