package decide

import (
	"cmp"
	"context"
	"math"
	"slices"

	"clampodds/sim"
	"clampodds/sim/strata"
)

// SameRows judges designs that differ little from those of a leading mission, on the average over everything: each place on the
// same rows in all designs, those of a course (strata.Course). What decides is the difference from the lead, of which there are
// records: a probability is then a smooth function of what moves a design, and takes a third of a record's rows. What the
// rows do not tell as closely as asked for, a record does. A verdict is wrong as often as that of a record.
type SameRows struct {
	setup Setup
	lead  *Mission
	close byPlace[*led]
	quick *strata.Course // along the worst place of the lead
	seen  [][][]bool     // which of its rows exceed in the lead, by place
}

// led is a course with the rows that exceed in the design that leads it.
type led struct {
	*strata.Course
	exceeds []bool
}

const (
	// closeRows over the square of the accuracy lie about the limit, and one row stands for closeUnseen of the target at most, so
	// that at an accuracy of 0.2 the upper bound of a probability near its target is 1.3 times that.
	closeRows   = 60
	closeUnseen = 0.05
	// quickRows tell what lies further off. One stands for so much of the least target that the bound is below it
	// where none is seen.
	quickRows   = 600
	quickUnseen = 0.24
	// leastQuick is the least target that quick rows are made for.
	leastQuick = 2e-4
	// mostAbove times the accuracy is how far the upper bound may be above a mean that stands.
	mostAbove = 2
)

// SameRows are led by a mission. It is nil where the tail methods serve its worst place. Errors are those of strata.NewCourse.
func (s *Setup) SameRows(ctx context.Context, lead *Mission) (*SameRows, error) {
	j := &SameRows{setup: *s, lead: lead}
	j.setup.Policy = Predictive
	worst := lead.Members[lead.Worst.Member].Scenario
	least := worst.Requirements[lead.Worst.Requirement].Target
	if belowStrata(worst.Requirements[lead.Worst.Requirement]) {
		return nil, nil
	}
	for _, member := range lead.Members {
		for _, q := range member.Requirements {
			if q.Target > 0 {
				least = max(min(least, q.Target), leastQuick)
			}
		}
	}
	close, err := j.course(ctx, &j.close, lead.Worst, worst)
	if err != nil {
		return nil, err
	}
	j.quick = close.Spread(quickRows, quickUnseen*least)
	j.seen, err = j.quick.Exceeds(ctx, scenariosOf(lead.Members)...)
	return j, stopped(ctx, err)
}

func scenariosOf(members []Member) (list []sim.Scenario) {
	for _, member := range members {
		list = append(list, member.Scenario)
	}
	return list
}

// course is the close one of a place, led by a scenario where it is not yet made.
func (j *SameRows) course(ctx context.Context, made *byPlace[*led], p Place, lead sim.Scenario) (*led, error) {
	course, err := made.get(p, func() (*led, error) {
		q := lead.Requirements[p.Requirement]
		accuracy := j.setup.accuracy()
		about := int64(closeRows / (accuracy * accuracy))
		c, err := j.setup.newCourse(ctx, lead, q, about)
		if err != nil {
			return nil, err
		}
		c = c.Spread(about, closeUnseen*q.Target)
		exceeds, err := c.Exceeds(ctx, one(lead, p))
		if err != nil {
			return nil, err
		}
		return &led{c, exceeds[0][0]}, nil
	})
	return course, stopped(ctx, err)
}

// one is a scenario with one requirement.
func one(scenario sim.Scenario, p Place) sim.Scenario {
	q := scenario.Requirements[p.Requirement]
	scenario = scenario.Only(q.Output)
	scenario.Requirements = []sim.Requirement{q}
	return scenario
}

// mission judges as far as it takes to tell whether the mission is met: where the worst of the lead is not, others are left
// out, and after the next that is not. Some records may be known. own are courses that designs like these lead.
func (j *SameRows) mission(ctx context.Context, members []Member, known map[Place]Record, own *byPlace[*led]) (*Mission, error) {
	m := judging{j, &Mission{Members: members, Records: make([][]Record, len(members))}, known, own, make([][][]float64, len(members))}
	var others []int
	for i, member := range members {
		for _, q := range member.Requirements {
			m.Records[i] = append(m.Records[i], Record{Requirement: q})
		}
		if _, ok := known[j.lead.Worst]; ok || i != j.lead.Worst.Member {
			others = append(others, i)
		}
	}
	if len(others) < len(members) {
		if err := m.look(ctx, j.lead.Worst.Member); err != nil {
			return nil, err
		}
		if end, err := m.ends(ctx, j.lead.Worst); end {
			return m.Mission, err
		}
	}
	if err := m.look(ctx, others...); err != nil {
		return nil, err
	}
	open := m.open()
	for i, p := range open {
		if as := slices.IndexFunc(open[:i], func(before Place) bool { return m.same(p, before) }); as >= 0 {
			m.Records[p.Member][p.Requirement] = m.At(open[as])
		} else if end, err := m.ends(ctx, p); end {
			return m.Mission, err
		}
	}
	m.settle()
	return m.Mission, nil
}

// judging is a mission on the way.
type judging struct {
	*SameRows
	*Mission
	known   map[Place]Record
	own     *byPlace[*led]
	outputs [][][]float64 // of the quick rows, by place
}

// look takes what is known of some members, and of the rest what quick rows tell.
func (m judging) look(ctx context.Context, who ...int) error {
	var members []Member
	for _, i := range who {
		members = append(members, m.Members[i])
	}
	all, err := m.quick.Outputs(ctx, scenariosOf(members)...)
	for n, outputs := range all {
		m.outputs[who[n]] = outputs
		for k, y := range outputs {
			p := Place{who[n], k}
			r, ok := m.known[p]
			if !ok {
				exceeds := members[n].Requirements[k].ExceededBy(y)
				r = m.changed(p, m.quick.Pair(m.seen[p.Member][p.Requirement], exceeds))
			}
			m.Records[p.Member][p.Requirement] = r
		}
	}
	return stopped(ctx, err)
}

// open are the places that are not met so far, the furthest first.
func (m judging) open() (open []Place) {
	for i, records := range m.Records {
		for k, r := range records {
			if r.Verdict == sim.Undecided || r.Verdict == sim.NotMet {
				open = append(open, Place{i, k})
			}
		}
	}
	slices.SortStableFunc(open, func(a, b Place) int { return cmp.Compare(m.At(b).overTarget(), m.At(a).overTarget()) })
	return open
}

// same says that a requirement has the same numbers in two members, in every quick row: what looks closer finds the same.
func (m judging) same(p, q Place) bool {
	return p.Requirement == q.Requirement && m.At(p).Requirement == m.At(q).Requirement &&
		slices.Equal(m.outputs[p.Member][p.Requirement], m.outputs[q.Member][q.Requirement])
}

// ends says that a place is not met, which ends the mission; one that quick rows leave open is looked at closely.
func (m judging) ends(ctx context.Context, p Place) (bool, error) {
	r := &m.Records[p.Member][p.Requirement]
	if _, ok := m.known[p]; r.Verdict == sim.Undecided && !ok {
		var err error
		if *r, err = m.record(ctx, m.Members[p.Member].Scenario, p, m.own); err != nil {
			return true, err
		}
	}
	m.Verdict, m.Worst = r.Verdict, p
	return r.Verdict != sim.Met, nil
}

// Record judges a place in a scenario.
func (j *SameRows) Record(ctx context.Context, scenario sim.Scenario, p Place) (Record, error) {
	return j.record(ctx, scenario, p, &byPlace[*led]{})
}

// record is what close rows tell of a scenario: how it differs from that of the leading mission, of which there is a record;
// else what a course tells that the scenario leads itself; else it is a record.
func (j *SameRows) record(ctx context.Context, scenario sim.Scenario, p Place, own *byPlace[*led]) (r Record, err error) {
	q := scenario.Requirements[p.Requirement]
	if !belowStrata(q) {
		course, err := j.course(ctx, &j.close, p, j.lead.Members[p.Member].Scenario)
		if err != nil {
			return r, err
		}
		exceeds, err := course.Exceeds(ctx, one(scenario, p))
		if err != nil {
			return r, stopped(ctx, err)
		}
		if r = j.changed(p, course.Pair(course.exceeds, exceeds[0][0])); r.Verdict != sim.Undecided || j.near(r) {
			return r, nil
		}
		if course, err = j.course(ctx, own, p, scenario); err != nil {
			return r, err
		}
		if exceeds, err = course.Exceeds(ctx, one(scenario, p)); err != nil {
			return r, stopped(ctx, err)
		}
		if r = averaged(q, course.Estimate(exceeds[0][0])); r.Verdict != sim.Undecided || j.near(r) {
			return r, nil
		}
	}
	return j.setup.Record(ctx, scenario, p.Requirement)
}

// near says that the upper bound, on which a verdict of met rests, is about as near as asked for.
func (j *SameRows) near(r Record) bool {
	return r.Mean.High <= (1+mostAbove*j.setup.accuracy())*r.Mean.Value
}

// changed is the record of the lead's mean with a difference, of rows of their own, added: distances to the bounds are put
// together as those of Pair.Difference are.
func (j *SameRows) changed(p Place, pair *strata.Pair) Record {
	value, low, high := pair.Difference(0, j.setup.oneSided())
	r := j.lead.At(p)
	e := r.Mean
	e.Low = max(0, e.Value+value-math.Hypot(e.Value-e.Low, value-low))
	e.High = min(1, e.Value+value+math.Hypot(e.High-e.Value, high-value))
	e.Value = max(0, e.Value+value)
	e.N += pair.Rows
	e.Method += ", and what rows of both designs differ by"
	return averaged(r.Requirement, e)
}

// OnAverage is the mission with each mean judged alone: averaged over what is not known.
func (m *Mission) OnAverage() *Mission {
	average := &Mission{Members: m.Members, exceeds: m.exceeds, margins: m.margins}
	for _, records := range m.Records {
		var means []Record
		for _, r := range records {
			means = append(means, averaged(r.Requirement, r.Mean))
		}
		average.Records = append(average.Records, means)
	}
	average.settle()
	return average
}

// averaged judges a mean alone.
func averaged(q sim.Requirement, mean sim.Estimate) Record {
	r := Record{Requirement: q, Mean: mean, Bound: mean}
	r.judge()
	return r
}
