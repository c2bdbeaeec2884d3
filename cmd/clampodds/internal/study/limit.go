package study

import (
	"clampodds/cmd/clampodds/internal/units"
	"errors"
	"math"
)

// Limit is what an output must not exceed.
type Limit struct {
	// Name is the word of the study, "edge" or "component.fpga"; Output the
	// model's output that is held against the limit, "edge.hotter".
	Name, Output string
	Quantity     units.Quantity
	// Max is the limit in SI units, Typed as it stands in the file.
	Max         float64
	Typed, Unit string
	// Target is the probability of exceeding that is accepted; 0 when the study
	// sets none.
	Target float64
	Source string
	File   string
	Line   int
}

// Format writes a value of the limit's output in the unit of the limit.
func (l *Limit) Format(si float64) string { return units.Format(si, l.Quantity, l.Unit) }

// limitRange is where a limit may lie, in SI units and in words.
type limitRange struct {
	above, upTo float64
	words, hint string
}

// allowed is the range of the limit: a number above 0, or a temperature that
// electronics see (common practice, no source), so that "85 K" for "85 degC" shows.
func (l *Limit) allowed() limitRange {
	if l.Quantity == units.Temperature {
		const zero = 273.15
		return limitRange{zero - 70, zero + 500, "a temperature above -70 degC and up to 500 degC is wanted", "is degC meant?"}
	}
	return limitRange{0, math.MaxFloat64, "a limit above 0 is wanted", ""}
}

func (r limitRange) holds(si float64) bool { return si > r.above && si <= r.upTo }

// Moved is the limit at another value as typed, "95 degC".
func (l *Limit) Moved(typed string) (*Limit, error) {
	value, err := units.Parse(typed, l.Quantity)
	if err != nil {
		return nil, err
	}
	if allowed := l.allowed(); !allowed.holds(value.SI) {
		return nil, errors.New(allowed.words)
	}
	moved := *l
	moved.Max, moved.Typed = value.SI, value.Typed
	if value.Unit != "" {
		moved.Unit = value.Unit
	}
	return &moved, nil
}

// limitOutputs are the outputs that a limit can be set for.
var limitOutputs = []struct {
	name, output string
	quantity     units.Quantity
}{
	{"edge", "edge.hotter", units.Temperature},
	{"screw", "utilisation.screw", units.Number},
	{"stripping", "utilisation.stripping", units.Number},
	{"bearing", "utilisation.bearing", units.Number},
	{"holding", "utilisation.holding", units.Number},
}

var limitKeys = []string{"max", "target", "source"}

// limits reads [limits] and the limits of the components.
func (r *reader) limits() []Limit {
	var list []Limit
	add := func(key string, l Limit) {
		if e, ok := r.entries[key]; ok && r.limit(e, &l) {
			list = append(list, l)
		}
	}
	for _, o := range limitOutputs {
		add("limits."+o.name, Limit{Name: o.name, Output: o.output, Quantity: o.quantity})
	}
	for _, name := range r.components {
		output := "component." + name
		add(output+".limit", Limit{Name: output, Output: output, Quantity: units.Temperature})
	}
	return list
}

// limit reads one limit: a value alone, or max, target and source.
func (r *reader) limit(e entry, l *Limit) bool {
	l.File, l.Line = e.doc.file, e.line("")
	value, part := e.value, ""
	if table, ok := e.value.(map[string]any); ok {
		unknownKeys(e, "", table, limitKeys, r.problem)
		value, part = table["max"], ".max"
		if v, ok := table["target"]; ok {
			target, ok := r.quantity(e, ".target", v, units.Number, 1)
			if ok && !(target.SI > 0 && target.SI < 1) {
				r.refuse(e, ".target", v, "a probability between 0 and 1 is wanted", "")
			}
			l.Target = target.SI
		}
		if v, ok := table["source"]; ok {
			if l.Source, ok = v.(string); !ok {
				r.refuse(e, ".source", v, "a text in quotes is wanted", "")
			}
		}
	}
	max, ok := r.quantity(e, part, value, l.Quantity, 1)
	if allowed := l.allowed(); ok && !allowed.holds(max.SI) {
		r.refuse(e, part, value, allowed.words, allowed.hint)
		ok = false
	}
	l.Max, l.Typed, l.Unit = max.SI, max.Typed, max.Unit
	return ok
}
