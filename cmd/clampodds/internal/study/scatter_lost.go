package study

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// ScatterLost: a plain value stands in place of a distribution, and takes its scatter away.
const ScatterLost Code = "scatter-lost"

// lostScatter warns of the entries that say one value of what these sources say with its scatter. What is 0 stands for none
// and is meant, as is shape = "fixed".
func (s *sources) lostScatter(by []entry) (lost []Warning) {
	for i := range s.slots {
		common, named := s.concerning(&s.slots[i], by)
		for _, w := range s.slots[i].lostScatter(append(common, named...)) {
			if !slices.Contains(lost, w) {
				lost = append(lost, w)
			}
		}
	}
	for _, e := range by {
		together, _, _ := cutSide(e.key)
		for _, key := range []string{e.key, together} {
			table, scatters := s.entries[key].value.(map[string]any)
			plain, source := e.value, map[string]any{}
			if given, isTable := plain.(map[string]any); isTable {
				plain, source = given["value"], given
			}
			if shape, _ := table["shape"].(string); !scatters || shape == "" || shape == "fixed" || plain == nil || source["shape"] != nil || isZero(plain) {
				continue
			}
			lost = append(lost, Warning{
				Code: ScatterLost, File: e.doc.file, Line: e.line(""), Key: e.key,
				Message: fmt.Sprintf("one value for all, and the scatter of the study is lost (%s): %s, or { shape = \"fixed\", value = %s } where one value is meant", typedTable(table), keepScatter(table, plain), tomlValue(plain)),
			})
			break
		}
	}
	return lost
}

// isZero reports whether a plain value is 0, with any unit.
func isZero(plain any) bool {
	number, _, _ := strings.Cut(strings.TrimSpace(fmt.Sprint(plain)), " ")
	return strings.Trim(number, "0.") == ""
}

// spreadKeys of a distribution stay as they are when it moves.
var spreadKeys = []string{"shape", "sd", "cov", "sigma_ln", plusMinus, "plus", "minus", "coverage", "per", "knowledge"}

// keepScatter is how to say the new value with the scatter of a table, word for word where the table has one place for the value.
func keepScatter(table map[string]any, plain any) string {
	var parts []string
	for _, key := range slices.Concat([]string{"shape"}, order, []string{"per", "knowledge"}) {
		at, _ := nominalPart(map[string]any{key: nil})
		switch value, given := table[key]; {
		case !given:
		case at != "":
			parts = append(parts, key+" = "+tomlValue(plain))
		case slices.Contains(spreadKeys, key):
			parts = append(parts, key+" = "+tomlValue(value))
		}
	}
	own := maps.Clone(table)
	if delete(own, "source"); len(parts) < len(own) { // limits, percentiles, readings: what they become is not ours to say
		return "write the whole distribution about the new value to keep it"
	}
	return "to keep it write { " + strings.Join(parts, ", ") + " }"
}

// tomlValue is a plain value as it stands in a file.
func tomlValue(v any) string {
	if text, isText := v.(string); isText {
		return fmt.Sprintf("%q", text)
	}
	return fmt.Sprint(v)
}
