package sim

import (
	"fmt"
	"slices"
)

// KnownProbability is the goal that the probability of one row exceeding a
// requirement of the first scenario is known to a half-width of Relative times
// its value.
type KnownProbability struct {
	Requirement string
	// Relative is above 0 and below 1: 0.05 is ±5 %.
	Relative float64
}

func (g KnownProbability) begin(r *Run) (int64, look, error) {
	if !(g.Relative > 0 && g.Relative < 1) {
		return 0, nil, fmt.Errorf("relative half-width: %v, must be above 0 and below 1", g.Relative)
	}
	if !slices.ContainsFunc(r.Scenarios[0].Requirements, func(q Requirement) bool { return q.Name == g.Requirement }) {
		return 0, nil, fmt.Errorf("no requirement %q to be known", g.Requirement)
	}
	return firstRows(r), g.look, nil
}

func (g KnownProbability) look(r *Result) (have, want, next, needed float64) {
	all := r.Scenarios[0].Requirements
	at := slices.IndexFunc(all, func(q RequirementResult) bool { return q.Requirement.Name == g.Requirement })
	e := all[at].Exceeded.PerRow()
	have = (e.High - e.Low) / 2 / e.Value // +Inf when never seen
	next = predict(r.Rows, have, g.Relative)
	return have, g.Relative, next, next
}

// KnownPercentile is the goal that a percentile of an output of the first
// scenario is known to a half-width.
type KnownPercentile struct {
	Output string
	// Percentile is in (0, 1).
	Percentile float64
	// HalfWidth is in the unit of the output, above its bin.
	HalfWidth float64
}

func (g KnownPercentile) begin(r *Run) (int64, look, error) {
	at := r.Scenarios[0].outputIndex(g.Output)
	switch {
	case at < 0 || r.Scenarios[0].Model.Outputs()[at].Bin == 0:
		return 0, nil, fmt.Errorf("no quantity %q to be known", g.Output)
	case !(g.Percentile > 0 && g.Percentile < 1):
		return 0, nil, fmt.Errorf("percentile: %v, must be above 0 and below 1", g.Percentile)
	case !(g.HalfWidth > r.Scenarios[0].Model.Outputs()[at].Bin):
		return 0, nil, fmt.Errorf("half-width: %v, must be above %v, which values are counted in", g.HalfWidth, r.Scenarios[0].Model.Outputs()[at].Bin)
	}
	return firstRows(r), g.look, nil
}

func (g KnownPercentile) look(r *Result) (have, want, next, needed float64) {
	e := r.quantity(g.Output).Percentile(g.Percentile)
	have = (e.High - e.Low) / 2
	next = predict(r.Rows, have, g.HalfWidth)
	return have, g.HalfWidth, next, next
}

// quantity returns a quantity of the first scenario, which has it.
func (r *Result) quantity(name string) Quantity {
	all := r.Scenarios[0].Quantities
	return all[slices.IndexFunc(all, func(q Quantity) bool { return q.Output.Name == name })]
}

// firstRows is the size of the first stage: 16 blocks, enough for the scatter
// between replicates.
func firstRows(r *Run) int64 { return 16 * int64(r.BlockRows) }
