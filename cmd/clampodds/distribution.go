package main

import (
	"fmt"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/reports/figure"
	"clampodds/sim"
)

// edgeOutput is what the main figures are about.
const edgeOutput = "edge.hotter"

// quantityNamed is an output that every model has.
func quantityNamed(s sim.ScenarioResult, name string) sim.Quantity {
	return s.Quantities[slices.IndexFunc(s.Quantities, func(q sim.Quantity) bool { return q.Output.Name == name })]
}

// edgeDistribution draws how hot the hotter edge is, with its limit; nil where no
// card fits its slot.
func edgeDistribution(s *study.Study, one sim.ScenarioResult, cards int64) *reports.Figure {
	q := quantityNamed(one, edgeOutput)
	if q.Histogram.Finite() == 0 {
		return nil
	}
	unit := shownUnit(q.Percentile(0.5).Value, "K", typedUnit(s, "K"))
	const bars = 60
	d := figure.Distribution{Quantity: unit.Head(label(edgeOutput)), Bins: reports.HistogramBins(q.Histogram, unit, bars), Basis: figure.Basis{Samples: cards, Of: "cards"}}
	if l := slices.IndexFunc(s.Limits, func(l study.Limit) bool { return l.Output == edgeOutput }); l >= 0 {
		d.Limit = &figure.Mark{At: unit.Of(s.Limits[l].Max), Label: "limit", Value: unit.Text(s.Limits[l].Max)}
	}
	var words []string
	for _, p := range []float64{0.05, 0.5, 0.95, 0.99, 0.999} {
		e := reports.NewEstimate(q.Percentile(p))
		at := unit.Of(float64(e.Value))
		text := reports.Number(at, reports.Digits(at, unit.Of(float64(e.Low)), unit.Of(float64(e.High))))
		d.Marks = append(d.Marks, figure.Mark{At: at, Label: reports.PercentileName(p), Value: text})
		words = append(words, reports.PercentileName(p)+" "+text)
	}
	return &reports.Figure{Key: "hotter_edge", Caption: "Temperature of the hotter edge, cards that fit their slot", Drawing: d,
		Alt: fmt.Sprintf("Histogram of the hotter edge's temperature in %s: %s.", unit.Label, strings.Join(words, ", "))}
}
