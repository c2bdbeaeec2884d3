package study

import (
	"errors"
	"fmt"
	"iter"
	"maps"
	"math"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/joint/material"
)

// reader interprets entries and gathers what is wrong with them.
type reader struct {
	*sources
	materials map[string]named[material.Material] // by body
	finishes  map[string]named[material.Finish]   // by body
	profile   profile                             // of the direct face
	profiled  bool                                // whether it could be read
	problems  Problems
	warnings  []Warning
}

func (r *reader) problem(p Problem) { r.problems = append(r.problems, p) }

// refuse reports a part of an entry.
func (r *reader) refuse(e entry, part string, value any, message, hint string) {
	r.problem(e.problem(part, value, message, hint))
}

// missing reports a required key that is nowhere.
func (r *reader) missing(key, hint string) {
	r.problem(Problem{File: r.name, Key: key, Message: "the key is missing", Hint: hint})
}

// present are the entries that there are, of some keys.
func (r *reader) present(keys []string) (list []entry) {
	for _, key := range keys {
		if e, ok := r.entries[key]; ok {
			list = append(list, e)
		}
	}
	return list
}

// takes notes, for the schema, the form of what is taken of a key.
func (r *reader) takes(key string, form map[string]any) {
	if r.forms != nil {
		r.forms[key] = form
	}
}

// asWritten reads an optional value as TOML has it, one that fits; fallback without.
func asWritten[T any](r *reader, key string, fallback T, fits func(T) bool, wanted string) T {
	e, ok := r.entries[key]
	if !ok {
		return fallback
	}
	value, ok := e.value.(T)
	if !ok || !fits(value) {
		r.refuse(e, "", e.value, wanted, "")
		return fallback
	}
	return value
}

func (r *reader) text(key string) string {
	r.takes(key, map[string]any{"type": "string"})
	return asWritten(r, key, "", func(string) bool { return true }, "a text in quotes expected")
}

func (r *reader) integer(key string, low, high, fallback int64) int64 {
	r.takes(key, map[string]any{"type": "integer", "minimum": low, "maximum": high})
	return asWritten(r, key, fallback, func(n int64) bool { return n >= low && n <= high }, fmt.Sprintf("a whole number from %d to %d expected", low, high))
}

// between reads an optional quantity between low and high, both excluded.
func (r *reader) between(key string, q units.Quantity, low, high, fallback float64, wanted string) float64 {
	e, ok := r.entries[key]
	if !ok {
		return fallback
	}
	value, ok := r.quantity(e, "", e.value, q, 1)
	if ok && !(value.SI > low && value.SI < high) {
		r.refuse(e, "", e.value, wanted, "")
		return fallback
	}
	return value.SI
}

func (r *reader) fraction(key string, low, high, fallback float64) float64 {
	r.takes(key, map[string]any{"type": []string{"number", "string"}, "exclusiveMinimum": low, "exclusiveMaximum": high}) // a text is per cent
	return r.between(key, units.Number, low, high, fallback, fmt.Sprintf("a number between %g and %g expected", low, high))
}

// torque reads a torque above 0; 0 where it is not given.
func (r *reader) torque(key string) float64 {
	r.takes(key, map[string]any{"type": "string"})
	return r.between(key, "N*m", 0, math.Inf(1), 0, "a torque above 0 expected")
}

// choice reads a required word. parse gives its value, names lists the words.
func choice[T any](r *reader, key string, parse func(string) (T, error), names []string, fallback T) T {
	wanted := "one of " + strings.Join(names, ", ") + " expected"
	e, ok := r.entries[key]
	if !ok {
		r.missing(key, wanted)
		return fallback
	}
	text, ok := e.value.(string)
	value, err := parse(text)
	if !ok || err != nil {
		r.refuse(e, "", e.value, wanted, didYouMean(text, names))
		return fallback
	}
	return value
}

// oneOf reads a required word; the first where it cannot be read.
func (r *reader) oneOf(key string, words ...string) string {
	r.takes(key, map[string]any{"enum": words})
	parse := func(word string) (string, error) {
		if !slices.Contains(words, word) {
			return "", errors.New("none of them")
		}
		return word, nil
	}
	return choice(r, key, parse, words, words[0])
}

// firstOr reads a word that may be left out, and is then the first.
func (r *reader) firstOr(key string, words ...string) string {
	if _, ok := r.entries[key]; !ok {
		r.takes(key, map[string]any{"enum": words})
		return words[0]
	}
	return r.oneOf(key, words...)
}

// quantity reads a value with its unit, or a bare number where there is no unit,
// and multiplies it with factor. What cannot be read is reported.
func (r *reader) quantity(e entry, part string, value any, q units.Quantity, factor float64) (units.Value, bool) {
	v, err := parseQuantity(value, q)
	if err != nil {
		err = hinted(e.key, part, q, err)
		if share, isText := value.(string); isText && strings.HasSuffix(part, ".sd") && strings.HasSuffix(share, "%") {
			err = &units.Error{Message: err.Message, Hint: fmt.Sprintf("a share of the mean is cov = %q", share)}
		}
		r.refuse(e, part, value, err.Message, err.Hint)
		return units.Value{}, false
	}
	v.SI *= factor
	return v, true
}

// hinted names, where the unit of an input's value is missing, one that gives a value of its range. A difference has none.
func hinted(key, part string, q units.Quantity, wrong *units.Error) *units.Error {
	p, err := AsInput(key)
	if err != nil || units.Quantity(p.Unit) != q || slices.Contains(differenceKeys, strings.TrimPrefix(part, ".")) {
		return wrong
	}
	return wrong.Within(q, [2]float64{p.UsualLow, p.UsualHigh}, [2]float64{p.Low, p.High})
}

// parseQuantity reads a value of the file.
func parseQuantity(value any, q units.Quantity) (units.Value, *units.Error) {
	var number float64
	switch v := value.(type) {
	case string:
		parsed, err := units.Parse(v, q)
		if wrong := new(units.Error); errors.As(err, &wrong) {
			return units.Value{}, wrong
		}
		return parsed, nil
	case int64:
		number = float64(v)
	case float64:
		number = v
	default:
		return units.Value{}, &units.Error{Message: "a quantity expected", Hint: fmt.Sprintf("for instance %q", strings.TrimSpace("1 "+units.Example(q)))}
	}
	switch {
	case math.IsNaN(number) || math.IsInf(number, 0):
		return units.Value{}, &units.Error{Message: "a finite number expected"}
	case q != units.Number:
		_, err := units.Parse(fmt.Sprint(value), q) // the unit is missing
		return units.Value{}, err.(*units.Error)
	}
	return units.Value{SI: number, Typed: fmt.Sprint(value)}, nil
}

// fields are the keys of a table that is an entry or stands in one.
type fields struct {
	*reader
	entry entry
	part  string // where in the entry: "", "[1]", ".lots[0]"
	table map[string]any
}

// tables are those of a list of the study, [[cost]], with keys among the known ones.
func (r *reader) tables(key string, known []string) iter.Seq[fields] {
	return func(yield func(fields) bool) {
		e, ok := r.entries[key]
		if !ok {
			return
		}
		for i, table := range elements(e, e.value, r.problem) {
			f := fields{r, e, fmt.Sprintf("[%d]", i), table}
			f.only(known)
			if !yield(f) {
				return
			}
		}
	}
}

// tableAt is a value that is to be a table with keys among the known ones.
func (r *reader) tableAt(e entry, part string, value any, known []string, wanted, example string) (fields, bool) {
	table, ok := value.(map[string]any)
	f := fields{r, e, part, table}
	if !ok {
		r.refuse(e, part, value, wanted, "for instance "+example)
		return f, false
	}
	f.only(known)
	return f, true
}

// only reports the keys that are not among the known ones.
func (f fields) only(known []string) {
	for _, k := range slices.Sorted(maps.Keys(f.table)) {
		if !slices.Contains(known, k) {
			hint := didYouMean(k, known)
			if hint == "" {
				hint = "known are " + strings.Join(known, ", ")
			}
			f.wrong(k, "the key is not known", hint)
		}
	}
}

// wrong reports the value of a key.
func (f fields) wrong(key, message, hint string) {
	f.refuse(f.entry, f.part+"."+key, f.table[key], message, hint)
}

func (f fields) has(key string) bool {
	_, ok := f.table[key]
	return ok
}

// number reads a quantity that is to fit.
func (f fields) number(key string, q units.Quantity, fits func(x float64) bool, wanted string) (float64, bool) {
	v, ok := f.quantity(f.entry, f.part+"."+key, f.table[key], q, 1)
	if ok && !fits(v.SI) {
		f.wrong(key, wanted, "")
		ok = false
	}
	return v.SI, ok
}

// text reads one that may be left out.
func (f fields) text(key string) string {
	text, ok := f.table[key].(string)
	if f.has(key) && !ok {
		f.wrong(key, "a text in quotes expected", "")
	}
	return text
}

// flag reads true or false, false where it is left out.
func (f fields) flag(key string) bool {
	yes, ok := f.table[key].(bool)
	if f.has(key) && !ok {
		f.wrong(key, "true or false expected", "")
	}
	return yes
}

// ownName reads the name of something, which none of those before it has.
func (f fields) ownName(of string, before map[string]bool) string {
	name := f.word("name")
	if name == "" || before[name] {
		f.wrong("name", of+" needs a name of its own", "")
	}
	before[name] = true
	return name
}

// word is a text that the caller judges; empty for anything else.
func (f fields) word(key string) string {
	word, _ := f.table[key].(string)
	return word
}

// probability reads one that is neither 0 nor 1.
func (f fields) probability(key string) float64 {
	p, _ := f.number(key, units.Number, func(x float64) bool { return x > 0 && x < 1 }, "a probability between 0 and 1 expected")
	return p
}

// file and line are where the table stands.
func (f fields) file() string { return f.entry.doc.file }
func (f fields) line() int    { return f.entry.line(f.part) }
