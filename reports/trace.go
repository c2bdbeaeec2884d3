package reports

import (
	"fmt"

	"clampodds/sim"
)

// TracePoint is how a probability stood part of the way through a run.
type TracePoint struct {
	Rows  int64   `json:"rows"`
	Value float64 `json:"value"`
	Interval
	// Stretch is the share in the cards since the point before alone.
	Stretch float64 `json:"stretch"`
}

// NewTrace converts a trace of the simulation for the reports.
func NewTrace(all []sim.TracePoint) []TracePoint {
	var out []TracePoint
	for _, p := range all {
		out = append(out, TracePoint{p.Rows, p.Estimate.Value, p.Estimate.Interval, p.Stretch})
	}
	return out
}

// traces has a row for each point of each requirement that was seen exceeded.
func (r Run) traces() *Table {
	t := newTable("traces", "Convergence of the probability per card", texts("requirement"), numbers("cards", "probability", "low", "high", "since the row before"))
	for _, q := range r.Requirements {
		if q.PerCard.Count == 0 {
			continue
		}
		for _, p := range q.Trace {
			e := Estimate{Value: p.Value, Interval: p.Interval}
			t.AddRow(append(append([]string{q.Label, fmt.Sprint(p.Rows)}, probabilityCells(e)...), Probability(p.Stretch, 0, 0))...)
		}
	}
	return t
}
