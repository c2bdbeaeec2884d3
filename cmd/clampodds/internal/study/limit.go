package study

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
)

// Limit is what an output must not exceed.
type Limit struct {
	// Name is the word of the study, "spot" or "component.fpga"; Output the
	// model's output that is held against the limit, "edge.spot".
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

// WithoutTarget says that somebody states a limit which no verdict is of; of any card of a chassis they follow from those of the cards.
func (l *Limit) WithoutTarget() bool { return l.Target == 0 && !strings.HasPrefix(l.Name, AnyCard+"/") }

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
		return limitRange{zero - 70, zero + 500, "a temperature above -70 degC and up to 500 degC expected", "is degC meant?"}
	}
	return limitRange{0, math.MaxFloat64, "a limit above 0 expected", ""}
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

// limitOutputs are the outputs that a limit can be set for, beside the components',
// temperatures of the edges first.
var limitOutputs = []struct {
	name, output string
	quantity     units.Quantity
}{
	{"spot", "edge.spot", units.Temperature},
	{"edge", "edge.hotter", units.Temperature},
	{"edge.left", "edge.left", units.Temperature},
	{"edge.right", "edge.right", units.Temperature},
	{"spot.left", "edge.spot.left", units.Temperature},
	{"spot.right", "edge.spot.right", units.Temperature},
	{"screw_stress", "utilisation.screw", units.Number},
	{"stripping", "utilisation.stripping", units.Number},
	{"bearing", "utilisation.bearing", units.Number},
	{"holding", "utilisation.holding", units.Number},
	{"resistance.left", "resistance.left", "K/W"},
	{"resistance.right", "resistance.right", "K/W"},
	{"force.axial.left", "force.axial.left", "N"},
	{"force.axial.right", "force.axial.right", "N"},
	{"force.face.left", "force.face.left", "N"},
	{"force.face.right", "force.face.right", "N"},
}

// renamedLimits are old names with the new ones.
var renamedLimits = map[string]string{"screw": "screw_stress"}

var limitKeys = []string{"max", "target", "source"}

const limitsTable = "limits"

// withoutLimit are the first words of outputs that are no worse for being large.
var withoutLimit = []string{"share", "fit", "event"}

// collectLimits turns [limits] into limits.spot, limits.edge.left and so on. A word
// such as edge is a limit itself and the table of others.
func (s *sources) collectLimits(c *collector, name string, value any) {
	e := entry{join(limitsTable, name), value, c.doc, join(limitsTable, name)}
	table, isMap := value.(map[string]any)
	switch {
	case name == "" && !isMap:
		s.problems = append(s.problems, entry{limitsTable, value, c.doc, limitsTable}.problem("", value, "the key is a table of other keys, not a value", ""))
		return
	case !isMap || !limitTable(name):
		s.put(e)
		return
	}
	rest := map[string]any{}
	for _, k := range slices.Sorted(maps.Keys(table)) {
		inner := join(name, k)
		if name != "" && (slices.Contains(limitKeys, k) || table["max"] != nil && !limitNamed(inner)) {
			rest[k] = table[k]
		} else {
			s.collectLimits(c, inner, table[k])
		}
	}
	if len(rest) > 0 || limitNamed(name) && len(table) == 0 {
		e.value = rest
		s.put(e)
	}
}

// limitTable reports whether further words may follow a word of [limits].
func limitTable(name string) bool {
	return name == "" || name == "component" || slices.Contains(withoutLimit, name) ||
		slices.ContainsFunc(limitNames(nil), func(other string) bool { return strings.HasPrefix(other, name+".") })
}

func limitNamed(name string) bool { return slices.Contains(limitNames(nil), name) }

// limitNames are the words for limits.
func limitNames(components []string) (names []string) {
	for _, o := range limitOutputs {
		names = append(names, o.name)
	}
	for _, c := range components {
		names = append(names, "component."+c)
	}
	return names
}

// limits reads [limits] and the limits of the components.
func (r *reader) limits() []Limit {
	var list []Limit
	add := func(key string, l Limit) {
		if e, ok := r.entries[key]; ok && r.limit(e, &l) {
			list = append(list, l)
		}
	}
	for _, o := range limitOutputs {
		add(join(limitsTable, o.name), Limit{Name: o.name, Output: o.output, Quantity: o.quantity})
	}
	for _, name := range r.components {
		output := "component." + name
		l := Limit{Name: output, Output: output, Quantity: units.Temperature}
		add(output+".limit", l)
		if e, ok := r.entries[join(limitsTable, output)]; ok {
			if there, twice := r.entries[output+".limit"]; twice {
				r.refuse(e, "", e.value, fmt.Sprintf("the component has a limit of its own, %s:%d", there.doc.file, there.line("")), "give one of them")
				continue
			}
			add(e.key, l)
		}
	}
	r.unknownLimits()
	return list
}

// unknownLimits reports what no limit can be set for.
func (r *reader) unknownLimits() {
	names := limitNames(r.components)
	for _, key := range slices.Sorted(maps.Keys(r.entries)) {
		name, ok := strings.CutPrefix(key, limitsTable+".")
		if !ok || slices.Contains(names, name) {
			continue
		}
		e := r.entries[key]
		if now, ok := renamedLimits[name]; ok {
			r.refuse(e, "", e.value, "the limit is called "+now+" now", "")
			continue
		}
		first, _, _ := strings.Cut(name, ".")
		message := "there is nothing of this name to limit"
		if slices.Contains(withoutLimit, first) {
			message = "a large " + name + " does no harm: it has no upper limit"
		}
		for _, o := range limitOutputs {
			if o.output == name {
				name = o.name // the model's own word for it
			}
		}
		slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(editDistance(name, a), editDistance(name, b)) })
		r.refuse(e, "", e.value, message, "allowed are "+strings.Join(names, ", "))
	}
}

// limit reads one limit: a value alone, or max, target and source.
func (r *reader) limit(e entry, l *Limit) bool {
	l.File, l.Line = e.doc.file, e.line("")
	value, part := e.value, ""
	if table, ok := e.value.(map[string]any); ok {
		f := fields{r, e, "", table}
		f.only(limitKeys)
		value, part = table["max"], ".max"
		if f.has("target") {
			l.Target = f.probability("target")
		}
		l.Source = f.text("source")
	}
	max, ok := r.quantity(e, part, value, l.Quantity, 1)
	if allowed := l.allowed(); ok && !allowed.holds(max.SI) {
		r.refuse(e, part, value, allowed.words, allowed.hint)
		ok = false
	}
	l.Max, l.Typed, l.Unit = max.SI, max.Typed, max.Unit
	return ok
}

// judgedBy are the inputs without which the model does not judge an output. Where
// any one of them is enough, some is true.
var judgedBy = map[string]struct {
	keys []string
	some bool
}{
	"utilisation.screw":     {keys: []string{"screw.yield"}},
	"utilisation.stripping": {keys: []string{"screw.engagement", "screw.nut_shear"}},
	"utilisation.bearing":   {keys: []string{"clamp.allowable", "flange.allowable", "rail.allowable"}, some: true},
	"utilisation.holding":   {keys: []string{"card.mass", "card.acceleration"}},
}

// judgeLimits refuses limits on what is not judged: there is nothing to hold against
// them.
func (r *reader) judgeLimits(s *Study) {
	for i := range s.Limits {
		l := &s.Limits[i]
		needed := judgedBy[l.Output]
		var off []string
		for _, key := range needed.keys {
			if in := s.Input(key); in != nil && in.Dist == nil && in.Nominal == 0 {
				off = append(off, key)
			}
		}
		if len(off) == 0 || needed.some && len(off) < len(needed.keys) {
			continue
		}
		joint := " and "
		if needed.some {
			joint = " or "
		}
		e := r.entries["limits."+l.Name]
		r.refuse(e, "", e.value, "nothing is held against this limit without "+strings.Join(off, joint),
			"give "+strings.Join(needed.keys, joint)+", or leave the limit out")
	}
}

// judgeConditions keeps the studies of the conditions, and warns about those that change nothing or lose a scatter.
func (s *Study) judgeConditions(derived []*Study) {
	s.derived = derived
	for i, c := range s.Conditions {
		s.Warnings = append(s.Warnings, s.sources.lostScatter(c.entries)...)
		if len(Differences(s, derived[i])) > 0 {
			continue
		}
		s.Warnings = append(s.Warnings, Warning{
			Code: ConditionChangesNothing, File: c.File, Line: c.Line, Key: "condition",
			Message: fmt.Sprintf("%q changes nothing: %s as in the study as written", c.Name, strings.Join(c.Replaced, ", ")),
		})
	}
}
