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

// rareEvents are the events that make up exceeding a limit, each smooth by
// itself: the edges one by one, because the hotter of two has a kink where
// symmetric inputs lie, and each way not to be clamped apart from the temperature,
// which it leaves without a value. Those of any card of a chassis are those of the slots, one by one.
func rareEvents(s *study.Study, l *study.Limit) (events []sim.Requirement) {
	slot, output, of := strings.Cut(l.Output, "/")
	switch {
	case !of:
		return eventsOf(l, "")
	case slot != study.AnyCard:
		own := *l
		own.Output = output
		return eventsOf(&own, slot+"/")
	}
	for i := range s.Limits {
		own := s.Limits[i]
		if in, same := strings.CutSuffix(own.Output, "/"+output); same && in != slot {
			own.Output, own.Max = output, own.Max+l.Max
			events = append(events, eventsOf(&own, in+"/")...)
		}
	}
	return events
}

// eventsOf are those of one card, whose outputs begin with a slot.
func eventsOf(l *study.Limit, slot string) []sim.Requirement {
	above := func(output string) sim.Requirement {
		return sim.Requirement{Name: slot + output, Output: slot + output, Limit: l.Max}
	}
	events := []sim.Requirement{above(l.Output)}
	switch l.Output {
	case "edge.hotter":
		events = []sim.Requirement{above("edge.left"), above("edge.right")}
	case "edge.spot":
		events = []sim.Requirement{above("edge.spot.left"), above("edge.spot.right")}
	}
	if l.Quantity == units.Temperature || l.Output == "utilisation.holding" || strings.HasPrefix(l.Output, "resistance.") {
		// First, because they depend on few inputs and leave evaluations to the rest.
		events = append([]sim.Requirement{
			{Name: slot + "fit.insertion", Output: slot + "fit.insertion", Below: true},
			{Name: slot + "fit.travel", Output: slot + "fit.travel", Below: true},
			{Name: slot + "fit.preload", Output: slot + "fit.preload", Below: true},
		}, events...)
	}
	return events
}

// wayLabel says in words where an event of rareEvents happens.
func wayLabel(e sim.Requirement) string {
	for output, event := range map[string]string{"fit.insertion": "event.no_entry", "fit.travel": "event.no_travel", "fit.preload": "event.unclamped"} {
		if slot, found := strings.CutSuffix(e.Output, output); found {
			return reports.Label(slot + event)
		}
	}
	return reports.Label(e.Output)
}

func eventLabel(l *study.Limit, e sim.Requirement) string {
	if e.Below {
		return wayLabel(e)
	}
	at := *l
	at.Max = e.Limit // of any card: that of its own
	if l.Quantity == units.TemperatureDifference && e.Limit != l.Max {
		at.Quantity, at.Unit = units.Temperature, ""
	}
	return wayLabel(e) + " above " + at.Format(at.Max)
}

// Limit finds a limit of the study; an empty name is the first temperature's, of a chassis that of any
// card, or the only one.
func Limit(s *study.Study, name string) (*study.Limit, error) {
	if s.Chassis != nil && name == "" {
		name = study.AnyCard + "/"
	}
	if l := firstTemperature(s); name == "" && l != nil {
		return l, nil
	}
	var names []string
	for i := range s.Limits {
		l := &s.Limits[i]
		if strings.EqualFold(l.Name, name) || name == "" && len(s.Limits) == 1 || name == study.AnyCard+"/" && strings.HasPrefix(l.Name, name) {
			return l, nil
		}
		names = append(names, l.Name)
	}
	switch {
	case len(names) == 0:
		return nil, fmt.Errorf("%s sets no limit: nothing can be exceeded", s.Name)
	case name == "":
		return nil, fmt.Errorf("%s sets no limit of a temperature: name one of %s", s.Name, strings.Join(names, ", "))
	}
	return nil, fmt.Errorf("%s sets no limit %q; it sets %s", s.Name, name, strings.Join(names, ", "))
}

// movedTo returns the limit at another value, as typed on the command line.
func movedTo(l *study.Limit, at string) (*study.Limit, error) {
	if at == "" {
		return l, nil
	}
	moved, err := l.Moved(at)
	if err != nil {
		return nil, refused("at", "%q: %w", at, err)
	}
	return moved, nil
}

// Events finds the events of a requirement of the study, for the tail methods.
func Events(s *study.Study) func(sim.Requirement) []sim.Requirement {
	return func(q sim.Requirement) []sim.Requirement {
		l, err := Limit(s, q.Name)
		if err != nil {
			return []sim.Requirement{q}
		}
		moved := *l
		moved.Max = q.Limit
		return rareEvents(s, &moved)
	}
}

// physics shows the card model to sim, which knows no physics.
type physics struct {
	*study.Model
	outputs []sim.Output // sim asks for them block by block
}

func newPhysics(m *study.Model) *physics {
	p := &physics{Model: m}
	for _, o := range m.Outputs() {
		p.outputs = append(p.outputs, sim.Output(o))
	}
	return p
}

func (p *physics) Outputs() []sim.Output { return p.outputs }

// Only implements sim.Partial.
func (p *physics) Only(outputs ...string) (sim.Model, []int) {
	one, columns := p.Model.Only(outputs...)
	if one == nil {
		return nil, nil
	}
	return newPhysics(one), columns
}

// asDrawn are the values of the input columns as the cards have them.
func asDrawn(m sim.Model, x [][]float64) [][]float64 {
	if p, ok := m.(*physics); ok {
		return p.Values(x)
	}
	return x
}

// Scenario wires a study: its random inputs, its model and its limits.
func Scenario(s *study.Study, name string) (sim.Scenario, error) {
	inputs, err := s.RandomInputs()
	if err != nil {
		return sim.Scenario{}, err
	}
	if len(inputs.Variables()) == 0 {
		return sim.Scenario{}, fmt.Errorf("%s: %w", s.Name, sim.ErrNoRandomInput)
	}
	model, err := s.Model()
	if err != nil {
		return sim.Scenario{}, err
	}
	return sim.Scenario{Name: name, Inputs: inputs, Model: newPhysics(model), Requirements: requirements(s)}, nil
}

// requirements are the limits of a study that its model judges.
func requirements(s *study.Study) []sim.Requirement {
	var list []sim.Requirement
	for _, l := range s.Limits {
		list = append(list, sim.Requirement{Name: l.Name, Output: l.Output, Limit: l.Max, Target: l.Target})
	}
	return list
}

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
