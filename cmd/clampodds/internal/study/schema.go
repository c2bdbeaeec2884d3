package study

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/joint/card"
	"clampodds/joint/force"
	"clampodds/sim"
)

// plainKeys are the keys that are no inputs of the model; the table of inputs is
// the model's own. Lists (component, correlation, condition, cost, option) and extends are
// read apart.
var plainKeys = []string{
	"title", "project", "document", "revision", "author",
	"repair_correlations",
	"verdict.policy", "verdict.assumed", "verdict.accuracy",
	"run.samples", "run.seed", "run.confidence", "run.cards_per_chassis",
	"clamp.family", "clamp.anchor", "clamp.pieces",
	"clamp.material", "flange.material", "rail.material",
	"clamp.finish", "flange.finish", "rail.finish",
	"screw.thread", "screw.pitch", "screw.pitch_diameter", "screw.stress_area",
	"surface.roughness_as",
	"gas.kind",
	directProfile,
	"change.margin",
	chassisAny,
	"torque.resolution", "torque.scatter", "torque.least", "torque.most", "torque.margin", "torque.largest_tolerance", "torque.tool_class",
}

var componentKeys = []string{"name", "power", "resistance", "place", "limit"}

// knownKeys are all keys a study may have, components aside: the inputs of both
// families, so that a key of the other family is told from a misspelt one.
func knownKeys() map[string]bool {
	known := inputKeys(nil)
	for _, key := range slices.Concat(plainKeys, pieceFlatness) {
		known[key] = true
	}
	for _, o := range limitOutputs {
		known[join(limitsTable, o.name)] = true
	}
	for _, p := range chassisTable {
		known[p.Key] = true
	}
	return known
}

// inputKeys are the keys of the model's inputs for every family, with those of
// the components.
func inputKeys(components []string) map[string]bool {
	keys := map[string]bool{}
	for _, p := range allParameters(components) {
		keys[p.Key] = true
		for _, key := range sideKeys(p) {
			keys[key] = true
		}
	}
	return keys
}

// fallbackLayout stands where a study's own cannot be read, so that the rest of
// the study is checked all the same.
func fallbackLayout(components []string) card.Layout {
	return card.Layout{
		Family: card.TwoFace, Anchor: force.End, Pieces: 3,
		Thread: *dist.Must(force.ThreadNamed("M3")), Components: components,
	}
}

// isTable reports whether some known key lies under key.
func isTable(key string, known map[string]bool) bool {
	for k := range known {
		if strings.HasPrefix(k, key+".") {
			return true
		}
	}
	return false
}

// renamedKeys are old keys with the new ones.
var renamedKeys = map[string]string{"screw.prevailing": "screw.prevailing_torque"}

// nearestKey is the hint for a key that is not known. A word without its table is
// looked for in all of them; the same word in another table counts after slips of the pen.
func nearestKey(key string, known map[string]bool) string {
	if both, _, _ := cutSide(key); renamedKeys[both] != "" {
		return "it is called " + renamedKeys[both] + strings.TrimPrefix(key, both) + " now"
	}
	keys := slices.Sorted(maps.Keys(known))
	if isTable(key, known) {
		return "it is a table, with " + strings.Join(slices.DeleteFunc(keys, func(k string) bool { return !strings.HasPrefix(k, key+".") || strings.Count(k, ".") > 1 }), ", ")
	}
	same := sameWord(key, keys)
	if !strings.Contains(key, ".") && same != "" {
		return same
	}
	for _, k := range keys { // tables, so that a misspelt [table] has a neighbour too
		if table, _, nested := strings.Cut(k, "."); nested && !slices.Contains(keys, table) {
			keys = append(keys, table)
		}
	}
	hint := didYouMean(key, keys)
	if table := strings.TrimSuffix(strings.TrimPrefix(hint, "did you mean "), "?"); isTable(table, known) && !known[table] {
		return "did you mean the table " + table + "?"
	}
	return cmp.Or(hint, same)
}

// sameWord is the hint that names the keys with the same last word, five at most;
// nothing where there is none.
func sameWord(key string, keys []string) string {
	const most = 5
	last := key[strings.LastIndex(key, ".")+1:]
	var same []string
	for _, k := range keys {
		if strings.HasSuffix(k, "."+last) && len(same) < most {
			same = append(same, k)
		}
	}
	switch n := len(same); n {
	case 0:
		return ""
	case 1:
		return "did you mean " + same[0] + "?"
	default:
		return "did you mean " + strings.Join(same[:n-1], ", ") + " or " + same[n-1] + "?"
	}
}

// AsInput returns the model's parameter with the given key, of either family of clamp;
// for another key an error that names the nearest ones.
func AsInput(key string) (card.Parameter, error) {
	for _, p := range allParameters(nil) {
		if p.Key == key || slices.Contains(sideKeys(p), key) {
			return p, nil
		}
	}
	if hint := nearestKey(key, inputKeys(nil)); hint != "" {
		return card.Parameter{}, fmt.Errorf("%s: there is no such input (%s)", key, hint)
	}
	return card.Parameter{}, fmt.Errorf("%s: there is no such input; nominal lists them", key)
}

// Named returns the parameters whose key ends in the word, those of the unit, in SI, if the word
// is empty.
func Named(word string, unit units.Quantity) (list []card.Parameter) {
	for _, p := range allParameters(nil) {
		if word != "" && strings.HasSuffix(p.Key, "."+word) || word == "" && p.Unit == string(unit) {
			list = append(list, p)
		}
	}
	return list
}

// allParameters are those of the four-face clamp, which has them all.
func allParameters(components []string) []card.Parameter {
	l := fallbackLayout(components)
	l.Family = card.FourFace
	return card.Parameters(&l)
}

// levelWords are the words of per, from the widest to the finest allowed.
func levelWords(most sim.Level) (words []string) {
	for l := sim.Design; l <= most; l++ {
		words = append(words, l.String())
	}
	return words
}

// defaultLevel is the level of a draw for which the study does not say how widely it is
// shared.
func defaultLevel(p card.Parameter) sim.Level {
	if p.Drawn != 0 {
		return finest(p.Drawn)
	}
	return finest(p.Scope)
}

// finest is the finest level at which a parameter can be drawn.
func finest(scope card.Scope) sim.Level {
	switch scope {
	case card.PerEdge:
		return sim.Edge
	case card.PerFace:
		return sim.Face
	}
	return sim.Card
}
