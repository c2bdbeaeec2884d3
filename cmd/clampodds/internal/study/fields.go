package study

import (
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
)

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
