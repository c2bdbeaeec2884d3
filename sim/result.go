package sim

import (
	"strings"

	"clampodds/sim/interval"
	"clampodds/sim/result"
)

// Result is what a run found. It is only read afterwards and then safe for
// concurrent use. Every interval covers the noise of the sampling and nothing
// else.
type Result struct {
	Seed       uint64
	Sampler    string
	Confidence float64
	// Samples is what was asked for; Rows what was done, in Groups.
	Samples, Rows, Groups int64
	// Complete is false for a run that was cancelled.
	Complete  bool
	Scenarios []ScenarioResult
	// Pairs compare each scenario after the first with the first; with
	// Run.AllPairs also each after the second with the second, and so on.
	Pairs []Pair
	// InAny has, for each requirement of the first scenario, the rows and
	// groups that exceed it in at least one scenario that has it.
	InAny []Event
	// Reached is what became of the goal of ExecuteUntil; nil after Execute.
	Reached  *Reached
	Warnings []Warning
}

// ScenarioResult is the result of one scenario, in the orders of its model's
// outputs and of its requirements. Of outputs that the run does not keep there is nothing.
type ScenarioResult struct {
	Name         string
	Quantities   []Quantity
	Events       []Event
	Requirements []RequirementResult
}

// Quantity is an output with the distribution of its values.
type Quantity struct {
	Output    Output
	Histogram *Histogram
	layout    layout
}

// Percentile estimates the p-quantile, 0 < p < 1, of the values of single
// rows; rows without a finite value are left out. Other p panic.
func (q Quantity) Percentile(p float64) Estimate { return percentile(q.Histogram, p, q.layout) }

// Mean estimates the mean over rows with a finite value.
func (q Quantity) Mean() Estimate { return mean(q.Histogram, q.layout) }

// Event is something that happens to a row or not.
type Event struct {
	Name   string
	tally  tally
	layout layout
}

// Rows returns the number of rows to which it happened.
func (e Event) Rows() int64 { return int64(e.tally.rows) }

// Groups returns the number of groups with at least one such row.
func (e Event) Groups() int64 { return int64(e.tally.groups) }

// PerRow estimates the probability for one row, a card.
func (e Event) PerRow() Estimate {
	l := e.layout
	return probability(e.sums(e.tally.rows, e.tally.rowSquares, l.clusterRows(), l.rowsPerGroup), l.confidence)
}

// PerGroup estimates the probability for at least one row of a group, a chassis
// with at least one such card.
func (e Event) PerGroup() Estimate {
	l := e.layout
	return probability(e.sums(e.tally.groups, e.tally.groupSquares, l.clusterRows()/l.rowsPerGroup, 1), l.confidence)
}

// sums are those of clusters of m values each, together of which may go
// together.
func (e Event) sums(count, square uint64, m, together int) clusterSums {
	clusters := uint64(e.layout.clusters())
	return clusterSums{
		clusters: int64(clusters), count: count, square: square, cross: uint64(m) * count,
		size: clusters * uint64(m), sizeSquares: clusters * uint64(m) * uint64(m),
		together: together, replicates: e.layout.replicates,
	}
}

// RequirementResult is a requirement with the event of exceeding it.
type RequirementResult struct {
	Requirement Requirement
	Exceeded    Event
	trace       *trace
}

// Verdict judges the probability for one row against the target.
func (r RequirementResult) Verdict() Verdict {
	return r.Exceeded.PerRow().Judge(r.Requirement.Target)
}

// Pair compares a scenario with an earlier one, row by row.
type Pair struct {
	First, Other string // names of the scenarios
	// Exceedances are those of the requirements that both scenarios have.
	Exceedances []PairedExceedance
}

// PairedExceedance counts rows by whether they exceed a requirement in the
// first scenario and in the other.
type PairedExceedance struct {
	Requirement                         string
	Both, OnlyFirst, OnlyOther, Neither int64
	// EffectiveN is the number of independent rows that would give the
	// difference of the two probabilities the same variance.
	EffectiveN float64
}

// Paired returns the counts scaled to the effective number of rows, for the
// interval and the verdict on the difference; at least one row has to be done.
func (p PairedExceedance) Paired() interval.Paired {
	rows := float64(p.Both + p.OnlyFirst + p.OnlyOther + p.Neither)
	scale := p.EffectiveN / rows
	return interval.Paired{OnlyNew: float64(p.OnlyOther) * scale, OnlyOld: float64(p.OnlyFirst) * scale, Total: p.EffectiveN}
}

// result collects what the engine counted.
func (e *engine) result() *Result {
	l := e.layout.done(e.blocks)
	r := &Result{
		Seed: e.run.Seed, Sampler: e.run.Sampler.Name(), Confidence: e.run.Confidence,
		Samples: e.run.Samples, Rows: l.rows, Groups: l.groups(),
		Complete: l.rows == e.layout.rows,
	}
	if !r.Complete {
		r.warn(Stopped, "stopped after %d of %d rows", l.rows, e.layout.rows)
	}
	if e.layout.rows != r.Samples {
		r.warn(SamplesRounded, "%d samples asked, rounded up to %d: %s", r.Samples, e.layout.rows, l.unit())
	}
	for s, scenario := range e.run.Scenarios {
		r.Scenarios = append(r.Scenarios, e.counts.scenarios[s].result(scenario, l))
		if constant := r.Scenarios[s].constant(); len(constant) > 0 && l.groups() > 1 {
			r.warn(ConstantOutput, "%s: the same in all rows of %q: no random input acts on it", strings.Join(constant, ", "), scenario.Name)
		}
	}
	for _, pair := range e.counts.pairs {
		r.Pairs = append(r.Pairs, pair.result(e.run.Scenarios[pair.first], e.run.Scenarios[pair.other], l))
	}
	for q, requirement := range e.run.Scenarios[0].Requirements {
		r.InAny = append(r.InAny, Event{requirement.Name, *e.counts.inAny[q], l})
	}
	return r
}

func (r *Result) warn(code WarningCode, format string, values ...any) {
	r.Warnings = append(r.Warnings, result.Warn(code, format, values...))
}

func (c scenarioCounts) result(s Scenario, l layout) ScenarioResult {
	r := ScenarioResult{Name: s.Name}
	outputs := s.Model.Outputs()
	for _, kept := range c.kept {
		if output := outputs[kept.output]; kept.quantity != nil {
			r.Quantities = append(r.Quantities, Quantity{output, kept.quantity.Histogram, l})
		} else {
			r.Events = append(r.Events, Event{output.Name, kept.event, l})
		}
	}
	for q, requirement := range s.Requirements {
		r.Requirements = append(r.Requirements, RequirementResult{requirement, Event{requirement.Name, c.requirements[q].total(), l}, c.requirements[q]})
	}
	return r
}

// constant lists the quantities whose values all lie in one bin.
func (s ScenarioResult) constant() (names []string) {
	for _, q := range s.Quantities {
		bins := 0
		for range q.Histogram.Bins() {
			if bins++; bins > 1 {
				break
			}
		}
		if bins == 1 {
			names = append(names, q.Output.Name)
		}
	}
	return names
}

func (c pairCounts) result(first, other Scenario, l layout) Pair {
	p := Pair{First: first.Name, Other: other.Name}
	for q, t := range c.tallies {
		if c.requirement[q] >= 0 {
			p.Exceedances = append(p.Exceedances, t.result(first.Requirements[q].Name, l))
		}
	}
	return p
}

func (t pairTally) result(requirement string, l layout) PairedExceedance {
	return PairedExceedance{
		Requirement: requirement,
		Both:        int64(t.both), OnlyFirst: int64(t.onlyFirst), OnlyOther: int64(t.onlyOther),
		Neither:    l.rows - int64(t.both+t.onlyFirst+t.onlyOther),
		EffectiveN: t.effective(l),
	}
}
