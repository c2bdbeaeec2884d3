package question

import (
	"fmt"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/reports/figure"
	"clampodds/sim"
)

// firstTemperature is the study's first temperature limit, of a chassis that of the last slot, where the
// coolant is warmest; nil without one.
func firstTemperature(s *study.Study) *study.Limit {
	last := ""
	if s.Chassis != nil {
		last = s.Chassis.Slots[len(s.Chassis.Slots)-1].Name + "/"
	}
	for i := range s.Limits {
		if l := &s.Limits[i]; l.Quantity == units.Temperature && strings.HasPrefix(l.Name, last) {
			return l
		}
	}
	return nil
}

// mainOutput is what the main figures are about: the temperature that is limited first.
func mainOutput(s *study.Study) string {
	if l := firstTemperature(s); l != nil {
		return l.Output
	}
	if s.Chassis != nil {
		return s.Chassis.Slots[len(s.Chassis.Slots)-1].Name + "/edge.spot"
	}
	return "edge.spot"
}

// quantityNamed is an output that every model has.
func quantityNamed(s sim.ScenarioResult, name string) sim.Quantity {
	return s.Quantities[slices.IndexFunc(s.Quantities, func(q sim.Quantity) bool { return q.Output.Name == name })]
}

// temperatureDistribution draws the temperature that is limited first, with its limit;
// nil where no card is clamped.
func temperatureDistribution(s *study.Study, one sim.ScenarioResult, cards int64) *reports.Figure {
	output := mainOutput(s)
	q := quantityNamed(one, output)
	if q.Histogram.Finite() == 0 {
		return nil
	}
	unit := ShownUnit(q.Percentile(0.5).Value, "K", typedUnit(s, "K"))
	const bars = 60
	d := figure.Distribution{Quantity: unit.Head(reports.Label(output)), Bins: reports.HistogramBins(q.Histogram, unit, bars), Basis: figure.Basis{Samples: cards, Of: "cards"}}
	if l := firstTemperature(s); l != nil {
		d.Limit = &figure.Mark{At: unit.Of(l.Max), Label: "limit", Value: unit.Text(l.Max)}
	}
	var words []string
	for _, p := range []float64{0.05, 0.5, 0.95, 0.99, 0.999} {
		e := q.Percentile(p)
		at := unit.Of(e.Value)
		text := reports.Number(at, reports.Digits(at, unit.Of(e.Low), unit.Of(e.High)))
		d.Marks = append(d.Marks, figure.Mark{At: at, Label: reports.PercentileName(p), Value: text})
		words = append(words, reports.PercentileName(p)+" "+text)
	}
	return &reports.Figure{Key: "temperature", Caption: "Temperature, " + reports.Label(output) + ", of cards that are clamped", Drawing: d,
		Alt: fmt.Sprintf("Histogram of the temperature, %s, in %s: %s.", reports.Label(output), unit.Label, strings.Join(words, ", "))}
}
