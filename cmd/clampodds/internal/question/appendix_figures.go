package question

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/reports/figure"
	"clampodds/sim"
)

// figures draws those that there is something to draw for.
func (a *Appendix) figures(all ...func() *reports.Figure) (blocks []reports.Block) {
	for _, draw := range all {
		if f := draw(); f != nil {
			blocks = append(blocks, f)
		}
	}
	return blocks
}

// temperature is the distribution of the temperature that the figures are about, with its
// requirement and its unit for people.
func (a *Appendix) temperature() (q sim.Quantity, limit *reports.Requirement, unit reports.Unit) {
	q = quantityNamed(a.Found.Scenarios[0], a.output())
	unit = ShownUnit(q.Percentile(0.5).Value, "K", typedUnit(a.Study, "K"))
	for i := range a.Run.Requirements {
		if a.Run.Requirements[i].Quantity == a.output() {
			limit = &a.Run.Requirements[i]
		}
	}
	return q, limit, unit
}

// output is what the figures are about: the temperature that decides where the cards of a chassis differ, else that which
// is limited first.
func (a *Appendix) output() string {
	if l := a.decidingTemperature(); l != nil && a.Study.Chassis != nil {
		return l.Output
	}
	return mainOutput(a.Study)
}

// decidingTemperature is the limit that decides, nil where that is none of a temperature.
func (a *Appendix) decidingTemperature() *study.Limit {
	if d := a.Run.Decision; d != nil && d.Requirement != "" {
		if l, err := Limit(a.Study, d.Requirement); err == nil && l.Quantity == units.Temperature {
			return l
		}
	}
	return nil
}

// quantity is that temperature in words.
func (a *Appendix) quantity() string { return reports.Label(a.output()) }

func (a *Appendix) basis() figure.Basis { return figure.Basis{Samples: a.Found.Rows, Of: "cards"} }

// ends says in words where a curve of probabilities begins and ends.
func ends(c figure.Curve) string {
	first, last := -1, -1
	for i, y := range c.Y {
		if y > 0 {
			if last = i; first < 0 {
				first = i
			}
		}
	}
	if first < 0 {
		return "never seen"
	}
	at := func(i int) string {
		return reports.Probability(c.Y[i], c.Low[i], c.High[i]) + " at " + reports.Plain(math.Round(100*c.X[i])/100)
	}
	return at(first) + " to " + at(last)
}

// limitMark is nil without a limit.
func limitMark(limit *reports.Requirement, unit reports.Unit) *figure.Mark {
	if limit == nil {
		return nil
	}
	return &figure.Mark{At: unit.Of(limit.Limit), Label: "limit", Value: unit.Text(limit.Limit)}
}

func (a *Appendix) distribution() *reports.Figure {
	return temperatureDistribution(a.Study, a.Found.Scenarios[0], a.Found.Rows)
}

func (a *Appendix) exceedance() *reports.Figure {
	q, limit, unit := a.temperature()
	if q.Histogram.Finite() == 0 {
		return nil
	}
	curve := exceedanceCurve("this study", q, unit, evenly(q.Percentile(0.5).Value, handful(q), 80))
	curve.Style = a.style(a.quantity())
	f := figure.Curves{X: figure.Axis{Label: unit.Head(a.quantity())}, Y: figure.Axis{Label: "probability of exceeding", Scale: figure.Probability}, Curves: []figure.Curve{curve}, Limit: limitMark(limit, unit), Basis: a.basis()}
	alt := "Probability that the temperature, " + a.quantity() + ", exceeds each value, against that value [" + unit.Label + "], on a logarithmic scale, with its interval: " + ends(curve) + "."
	if limit != nil && limit.Target > 0 {
		f.Target = &figure.Mark{At: limit.Target, Label: "target", Value: reports.ExactProbability(limit.Target)}
		alt += fmt.Sprintf(" The limit is %s, the target %s; exceeded by %s.", unit.Text(limit.Limit), f.Target.Value, reports.EstimateInPlain(limit.PerCard))
	}
	return &reports.Figure{Key: "exceedance", Caption: "Probability that the temperature, " + a.quantity() + ", exceeds a value", Drawing: f, Alt: alt}
}

// handful is where a handful of cards is left: beyond, there is no evidence.
func handful(q sim.Quantity) float64 {
	return q.Histogram.AtRank(max(1, q.Histogram.Finite()-5)).High
}

// evenly are so many values from low to high.
func evenly(low, high float64, points int) (grid []float64) {
	for i := range points {
		grid = append(grid, low+(high-low)*float64(i)/float64(points-1))
	}
	return grid
}

// exceedanceCurve is the probability of exceeding each temperature of a grid.
func exceedanceCurve(name string, q sim.Quantity, unit reports.Unit, grid []float64) figure.Curve {
	curve := figure.Curve{Name: name}
	for _, at := range grid {
		e := q.Exceedance(at)
		curve.AddBand(unit.Of(at), e.Value, e.Low, e.High)
	}
	return curve
}

// Along are the temperatures at which a change is drawn, from one in twenty cards
// or from below the limit on: further down, the difference that decides would not
// show. They go further than cards as written do, since the condition that decides may be hotter.
func (a *Appendix) Along() (limits []sim.Requirement) {
	q, limit, _ := a.temperature()
	if q.Histogram.Finite() == 0 {
		return nil
	}
	low, high := q.Percentile(0.95).Value, handful(q)
	if limit != nil {
		low, high = min(low, limit.Limit-1), max(high, limit.Limit)
	}
	high += high - q.Percentile(0.5).Value
	for i, at := range evenly(low, high, 160) {
		limits = append(limits, sim.Requirement{Name: fmt.Sprintf("along %d", i), Output: a.output(), Limit: at})
	}
	return limits
}

// baseAndNew holds the study against the baseline.
func (a *Appendix) baseAndNew() *reports.Figure {
	_, limit, unit := a.temperature()
	var grid []float64
	difference := figure.Curve{Name: "change"}
	limits := a.Along()
	end := 0.0
	for _, s := range a.Changed.Run.Scenarios[:2] {
		if q := quantityNamed(s, a.output()); q.Histogram.Finite() > 0 {
			end = max(end, handful(q))
		}
	}
	for i, d := range a.Changed.Along {
		at := limits[i].Limit
		if at > end {
			break
		}
		grid = append(grid, at)
		difference.AddBand(unit.Of(at), d.Value, d.Low, d.High)
	}
	if len(grid) == 0 {
		return nil
	}
	curve := func(name string, scenario int) figure.Curve {
		return exceedanceCurve(name, quantityNamed(a.Changed.Run.Scenarios[scenario], a.output()), unit, grid)
	}
	f := figure.Change{
		Quantity: unit.Head(a.quantity()), Base: curve("before", 0), New: curve("after", 1), Difference: difference,
		Limit: limitMark(limit, unit), Basis: figure.Basis{Samples: a.Changed.Run.Rows, Of: "cards, the same draws for both"},
	}
	if a.Change.MarginKind == "absolute" {
		f.Margin = &figure.Mark{At: a.Change.MarginValue, Label: "margin", Value: reports.ExactProbability(a.Change.MarginValue)}
	}
	return &reports.Figure{Key: "base_and_new", Drawing: f,
		Caption: fmt.Sprintf("Probability that the temperature, %s, exceeds a value, %s, before and after the change; below, the difference from paired counts, each end of its band at %s %%", a.quantity(), a.Change.Condition, reports.Plain(100*a.Changed.Run.Confidence)),
		Alt: fmt.Sprintf("Probability that the temperature, %s, exceeds each value, before and after the change, and below their difference with its interval, against that value [%s]. Before %s; after %s.%s Verdict: %s.",
			a.quantity(), unit.Label, ends(f.Base), ends(f.New), atLimit(f), a.Change.Verdict)}
}

// atLimit says in words what the figure of a change has at the limit.
func atLimit(f figure.Change) string {
	for i, x := range f.Difference.X {
		if d := f.Difference; f.Limit != nil && x >= f.Limit.At {
			return fmt.Sprintf(" At %s, by the limit of %s, the difference is %s.", reports.Plain(math.Round(100*x)/100), f.Limit.Value, reports.Probability(d.Y[i], d.Low[i], d.High[i]))
		}
	}
	return ""
}

// convergence shows how the probability of the first temperature limit settled.
func (a *Appendix) convergence() *reports.Figure {
	for _, q := range a.Found.Scenarios[0].Requirements {
		if q.Requirement.Output != a.output() {
			continue
		}
		curve := figure.Curve{Name: "estimate", Style: a.style(a.quantity())}
		for _, p := range q.Trace() {
			curve.AddBand(float64(p.Rows), p.Value, p.Low, p.High)
		}
		f := figure.Curves{X: figure.Axis{Label: "cards so far", Scale: figure.Logarithmic}, Y: figure.Axis{Label: "probability of exceeding"}, Height: 64, Curves: []figure.Curve{curve}, Basis: a.basis()}
		if t := q.Requirement.Target; t > 0 {
			f.Target = &figure.Mark{At: t, Label: "target", Value: reports.ExactProbability(t)}
		}
		return &reports.Figure{Key: "convergence", Caption: "How the probability of exceeding the limit of the " + a.quantity() + " settled", Drawing: f,
			Alt: "Estimate and interval of the exceedance probability against the number of cards computed so far: " + ends(curve) + "."}
	}
	return nil
}

// sinks are where the ways of the heat end.
var sinks = map[string]figure.Sink{
	reports.Label("lower_rail"): figure.LowerRail, reports.Label("upper_rail"): figure.UpperRail, reports.Label("side_wall"): figure.SideWall,
}

func (a *Appendix) heatSplit() *reports.Figure {
	if a.Study.Chassis != nil {
		return nil // the study of a card shows its own
	}
	millimetres := func(key string) float64 { return 1e3 * a.Study.At(key, 0).Nominal }
	split := figure.HeatSplit{
		ClampWidth: millimetres("clamp.width"), ClampHeight: millimetres("clamp.height"), FlangeThickness: millimetres("flange.thickness"),
		SlotWidth: millimetres("slot.width"), ScrewDiameter: 1e3 * a.Study.Layout.Thread.MajorDiameter,
	}
	var words []string
	for _, p := range a.Nominal.Paths {
		if p.Edge != "left" {
			continue
		}
		value := reports.Number(100*p.Share, 1) + " %"
		split.Paths = append(split.Paths, figure.HeatPath{To: sinks[p.Path], Share: p.Share, Value: value, Label: p.Path})
		words = append(words, p.Path+" "+value)
	}
	return &reports.Figure{Key: "heat_split", Caption: "Heat of the left edge by path, at nominal values; cross-section to scale, schematic", Drawing: split,
		Alt: "Cross-section of the clamped edge with the heat by path: " + strings.Join(words, ", ") + "."}
}

func (a *Appendix) alongClamp() *reports.Figure {
	unit := ShownUnit(350, "K", typedUnit(a.Study, "K"))
	pieces := a.Study.Layout.Pieces
	along := figure.Curves{X: figure.Axis{Label: "place along the clamp, from the screw's head [mm]"}, Y: figure.Axis{Label: unit.Head("edge temperature")}, Height: 64}
	for e, edge := range []string{"left", "right"} {
		length := 1e3 * a.Study.At("clamp.length", e).Nominal
		c := figure.Curve{Name: edge + " edge", PointsOnly: true} // a node stands for the flange beside a piece
		for i := range pieces {
			for _, n := range a.Nominal.Nodes {
				if n.Name == fmt.Sprintf("%s/flange/%d", edge, i+1) {
					c.Add((float64(i)+0.5)*length/float64(pieces), unit.Of(n.Value))
				}
			}
		}
		along.Curves = append(along.Curves, c)
	}
	if len(along.Curves[0].X) == 0 {
		return nil // not clamped at nominal values
	}
	return &reports.Figure{Key: "along_clamp", Caption: "Temperature of the flange's inner edge along the clamp, at nominal values", Drawing: along,
		Alt: fmt.Sprintf("Edge temperature along the clamp in %s, at nominal values: left edge %s to %s, right edge %s to %s.", unit.Label,
			reports.Number(slices.Min(along.Curves[0].Y), 1), reports.Number(slices.Max(along.Curves[0].Y), 1), reports.Number(slices.Min(along.Curves[1].Y), 1), reports.Number(slices.Max(along.Curves[1].Y), 1))}
}

// mostBars keeps the figure readable; the table has them all.
const mostBars = 12

func (a *Appendix) driverBars() *reports.Figure {
	bars := figure.Drivers{Measure: "share of the variance, with all that goes through others [%]", Basis: figure.Basis{Samples: int64(a.Drivers.Rows), Of: "cards in each sample"}}
	var words []string
	for _, s := range a.Drivers.Spread[:min(mostBars, len(a.Drivers.Spread))] {
		total := 100 * s.Total.Value
		text := reports.Number(total, 1) + " %"
		if s.Total.Indistinguishable {
			text = "nothing to tell"
		}
		name := strings.Join(s.Inputs, " + ")
		bars.Bars = append(bars.Bars, figure.Bar{Name: name, Text: text, Value: total, Interval: s.Total.Times(100)})
		words = append(words, name+" "+text)
	}
	if len(bars.Bars) == 0 {
		return nil
	}
	return &reports.Figure{Key: "drivers", Caption: "What makes the spread of the " + a.Drivers.Label + ", " + a.Drivers.Condition(), Drawing: bars,
		Alt: fmt.Sprintf("Share of the variance of the %s, %s, bars with their intervals, the largest first: %s.", a.Drivers.Label, a.Drivers.Condition(), strings.Join(words, ", "))}
}
