package card

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Source says where an instance of a parameter takes its value from: a column
// of the model's input when Column >= 0, the constant Value otherwise. Build it
// with Constant or FromColumn.
type Source struct {
	Column int
	Value  float64
}

// Constant is the source of a fixed value, in the parameter's SI unit.
func Constant(value float64) Source { return Source{Column: -1, Value: value} }

// FromColumn is the source of a value that changes from row to row: x[column].
func FromColumn(column int) Source { return Source{Column: column} }

// Binding gives every instance of every parameter of a layout its source. It
// starts with the defaults. It is not safe for concurrent use; New copies what
// it needs.
type Binding struct {
	layout  Layout
	rows    []row
	byKey   map[string]int
	sources []Source // by slot
	given   []bool   // by slot
}

// NewBinding returns the binding of a valid layout with nothing set but the
// defaults.
func NewBinding(l *Layout) (*Binding, error) {
	if err := l.Validate(); err != nil {
		return nil, err
	}
	b := &Binding{layout: *l, rows: l.rows(), byKey: map[string]int{}}
	size := l.cardSlots() + edges*l.edgeSlots()
	b.sources, b.given = make([]Source, size), make([]bool, size)
	for slot := range b.sources {
		b.sources[slot] = Constant(0) // what the family does not have
	}
	for i, r := range b.rows {
		b.byKey[r.Key] = i
		for _, slot := range r.slots {
			b.given[slot] = !r.Required()
			if b.given[slot] {
				b.sources[slot] = Constant(r.Default)
			}
		}
	}
	return b, nil
}

// Instances lists the places of the card that a parameter has a value for, the
// left edge first; nil for an unknown key.
func (b *Binding) Instances(key string) []Instance {
	i, ok := b.byKey[key]
	if !ok {
		return nil
	}
	return append([]Instance(nil), b.rows[i].instances...)
}

// Set gives a parameter its source: at one edge and face (an Instance's numbers),
// or at all of them with -1. A later call replaces an earlier one. The error
// names the key and says what is allowed: for an unknown key, a place that does
// not exist, and a constant outside the parameter's range, NaN included.
func (b *Binding) Set(key string, edge, face int, s Source) error {
	i, ok := b.byKey[key]
	if !ok {
		return fmt.Errorf("%s: no such input for a %s clamp", key, b.layout.Family)
	}
	r := &b.rows[i]
	if s.Column < 0 && !r.allows(s.Value) {
		unit := " " + r.Unit
		if r.Unit == "1" {
			unit = ""
		}
		return fmt.Errorf("%s: %g%s is outside the allowed range of %g to %g%s", key, s.Value, unit, r.Low, r.High, unit)
	}
	found := false
	for j, at := range r.instances {
		if (edge < 0 || edge == at.Edge) && (face < 0 || face == at.Face) {
			b.sources[r.slots[j]], b.given[r.slots[j]] = s, true
			found = true
		}
	}
	if !found {
		return fmt.Errorf("%s: no edge %d with face %d", key, edge, face)
	}
	return nil
}

// check reports every required instance that is missing, and every group of
// inputs that only makes sense together and is given in part.
func (b *Binding) check() error {
	var problems []error
	for _, r := range b.rows {
		for j, slot := range r.slots {
			if !b.given[slot] {
				problems = append(problems, fmt.Errorf("%s: no value", instanceKey(r.Key, r.instances[j])))
			}
		}
	}
	for _, group := range [][]string{
		{"screw.engagement", "screw.nut_shear"},
		{"screw.expansion", "screw.modulus", "screw.assembly_temperature", "clamp.expansion", "clamp.screw_train_area"},
		{"card.mass", "card.acceleration"},
		{"clamp.coat.thickness", "clamp.coat.conductivity", "clamp.coat.hardness"},
		{"flange.coat.thickness", "flange.coat.conductivity", "flange.coat.hardness"},
		{"rail.coat.thickness", "rail.coat.conductivity", "rail.coat.hardness"},
	} {
		problems = append(problems, b.checkGroup(group)...)
	}
	for e := range edges {
		slot := func(property int) int { return b.layout.cardSlots() + e*b.layout.edgeSlots() + property }
		if !b.off(slot(directWaves)) && b.off(slot(directWaveCount)) {
			problems = append(problems, fmt.Errorf("face.direct.wave_count/%s: no value, but face.direct.flatness_waves has one", edgeName(e)))
		}
	}
	return errors.Join(problems...)
}

// checkGroup reports the members of a group that are unset while others of the
// same edge are set.
func (b *Binding) checkGroup(keys []string) (problems []error) {
	first := b.rows[b.byKey[keys[0]]]
	var missing, where []string
	for j := range first.instances {
		var unset []string
		for _, key := range keys {
			if b.off(b.rows[b.byKey[key]].slots[j]) {
				unset = append(unset, key)
			}
		}
		if len(unset) == 0 || len(unset) == len(keys) {
			continue
		}
		missing = append(missing, strings.Join(unset, ", "))
		where = append(where, " at the "+edgeName(first.instances[j].Edge)+" edge")
	}
	if len(missing) == len(first.instances) && len(slices.Compact(slices.Clone(missing))) == 1 { // the same at all
		missing, where = missing[:1], []string{""}
	}
	for i, unset := range missing {
		problems = append(problems, fmt.Errorf("%s: no value%s (%s go together: all of them, or none)", unset, where[i], strings.Join(keys, ", ")))
	}
	return problems
}

// off reports whether a slot holds the constant 0.
func (b *Binding) off(slot int) bool { return b.sources[slot] == Constant(0) }

// instanceKey names one instance of a parameter: "screw.torque/left".
func instanceKey(key string, at Instance) string {
	if at.Name == "" {
		return key
	}
	return key + "/" + at.Name
}
