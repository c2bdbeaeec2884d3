package question

import (
	"fmt"
	"strings"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/reports"
	"clampodds/sim"
)

// rareEvents are the events that make up exceeding a limit, each smooth by
// itself: the edges one by one, because the hotter of two has a kink where
// symmetric inputs lie, and each way not to be clamped apart from the temperature,
// which it leaves without a value.
func rareEvents(l *study.Limit) []sim.Requirement {
	above := func(output string) sim.Requirement {
		return sim.Requirement{Name: output, Output: output, Limit: l.Max}
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
			{Name: "fit.insertion", Output: "fit.insertion", Below: true},
			{Name: "fit.travel", Output: "fit.travel", Below: true},
			{Name: "fit.preload", Output: "fit.preload", Below: true},
		}, events...)
	}
	return events
}

// wayLabel says in words where an event of rareEvents happens.
func wayLabel(e sim.Requirement) string {
	switch e.Output {
	case "fit.insertion":
		return reports.Label("event.no_entry")
	case "fit.travel":
		return reports.Label("event.no_travel")
	case "fit.preload":
		return reports.Label("event.unclamped")
	}
	return reports.Label(e.Output)
}

// eventLabel is wayLabel with the limit, where there is one.
func eventLabel(l *study.Limit, e sim.Requirement) string {
	if e.Below {
		return wayLabel(e)
	}
	return wayLabel(e) + " above " + l.Format(l.Max)
}

// Limit finds a limit of the study; an empty name is the first temperature's,
// or the only one.
func Limit(s *study.Study, name string) (*study.Limit, error) {
	if l := firstTemperature(s); name == "" && l != nil {
		return l, nil
	}
	var names []string
	for i := range s.Limits {
		l := &s.Limits[i]
		if l.Name == name || name == "" && len(s.Limits) == 1 {
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
		return rareEvents(&moved)
	}
}
