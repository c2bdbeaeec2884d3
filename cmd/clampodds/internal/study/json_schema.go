package study

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist"
	"clampodds/sim"
)

// JSONSchema is the form of a study file for editors, JSON Schema 2020-12, made of the tables
// that the reader goes by: every key with its meaning, the words and the parameters of
// distributions, and of what the reader says itself that it takes of a plain key. Units, ranges of inputs and what
// must stand together are left to the reader: what the schema takes may still be refused, what the reader takes never
// fails it.
func JSONSchema() map[string]any {
	src := readSources("", nil, nil)
	src.forms = map[string]map[string]any{}
	_, _ = interpret(src, "") // an empty study: what is missing does not matter
	root := schemaNode{forms: src.forms}
	for _, k := range Keys() {
		if !strings.ContainsAny(k.Key, "[ ") && !strings.Contains(k.Key, "NAME") {
			root.add(strings.Split(k.Key, "."), k)
		}
	}
	for key := range knownKeys() {
		root.add(strings.Split(key, "."), Key{Key: key})
	}
	schema := root.object()
	properties := schema["properties"].(map[string]any)
	properties["extends"] = typed("string", "the study that this one is laid over")
	for key, item := range schemaLists() {
		properties[key] = map[string]any{"type": "array", "items": item}
	}
	chassis := root.children["chassis"].object() // slots, and limits of any card
	slots := chassis["properties"].(map[string]any)
	slots["slot"] = map[string]any{"type": "array", "items": slotSchema()}
	slots[AnyCard] = map[string]any{"type": "object", "additionalProperties": probabilitySchema()}
	properties["chassis"] = chassis
	schema["$schema"], schema["title"] = "https://json-schema.org/draft/2020-12/schema", "study of clampodds"
	schema["$defs"] = map[string]any{"distribution": distributionSchema(), "input": map[string]any{"anyOf": []any{
		map[string]any{"type": []string{"string", "number"}, "description": `a quantity with its unit, "0.70 N*m"; a number where there is no unit`},
		map[string]any{"$ref": "#/$defs/distribution"},
	}}}
	return schema
}

func typed(of, description string) map[string]any {
	return map[string]any{"type": of, "description": description}
}

// schemaNode is a table of the file, a key of it, or both, as screw.torque with its left and
// right.
type schemaNode struct {
	Key
	leaf     bool
	children map[string]*schemaNode
	forms    map[string]map[string]any // of plain keys
}

func (n *schemaNode) add(path []string, k Key) {
	if len(path) == 0 {
		n.leaf = true
		if n.Meaning == "" {
			n.Key = k
		}
		return
	}
	if n.children == nil {
		n.children = map[string]*schemaNode{}
	}
	child := n.children[path[0]]
	if child == nil {
		child = &schemaNode{forms: n.forms}
		n.children[path[0]] = child
	}
	child.add(path[1:], k)
}

// object is a table with the keys below the node.
func (n *schemaNode) object() map[string]any {
	properties := map[string]any{}
	for name, child := range n.children {
		properties[name] = child.schema()
	}
	return map[string]any{"type": "object", "properties": properties, "additionalProperties": false}
}

func (n *schemaNode) schema() map[string]any {
	var all []any
	if n.leaf {
		all = append(all, n.value())
	}
	if !n.leaf || !n.onlySides() {
		all = append(all, n.object())
	}
	one := all[0].(map[string]any)
	if len(all) > 1 {
		one = map[string]any{"anyOf": all}
	}
	if n.Meaning != "" {
		one["description"] = n.Meaning
	}
	return one
}

// onlySides reports whether nothing is below the node but left and right, which an input has of
// itself.
func (n *schemaNode) onlySides() bool {
	for name := range n.children {
		if name != "left" && name != "right" {
			return false
		}
	}
	return !strings.HasPrefix(n.Key.Key, limitsTable+".") || len(n.children) == 0
}

// value is the schema of a key: an input, a limit, or a word.
func (n *schemaNode) value() map[string]any {
	switch key := n.Key.Key; {
	case strings.HasPrefix(key, limitsTable+"."):
		return limitSchema()
	case key == directProfile:
		return closed(profileKeys...)
	case n.forms[key] != nil:
		return n.forms[key]
	case slices.Contains(plainKeys, key):
		return map[string]any{"type": "string"} // a name, or a quantity with its unit
	}
	return map[string]any{"$ref": "#/$defs/input"}
}

// closed is a table of these keys and no others.
func closed(keys ...string) map[string]any {
	properties := map[string]any{}
	for _, k := range keys {
		properties[k] = map[string]any{}
	}
	return map[string]any{"type": "object", "properties": properties, "additionalProperties": false}
}

func limitSchema() map[string]any {
	limit := closed(limitKeys...)
	properties := limit["properties"].(map[string]any)
	properties["target"], properties["source"] = probabilitySchema(), map[string]any{"type": "string"}
	return map[string]any{"anyOf": []any{map[string]any{"type": []string{"string", "number"}}, limit}}
}

func probabilitySchema() map[string]any {
	return map[string]any{"type": []string{"number", "string"}, "exclusiveMinimum": 0, "exclusiveMaximum": 1}
}

// distributionSchema is an inline table: a constant or a distribution with all that may stand
// beside it.
func distributionSchema() map[string]any {
	keys := map[string]any{
		"shape":     map[string]any{"enum": append(dist.Shapes(), measured, mixture)},
		"per":       map[string]any{"enum": slices.Sorted(slices.Values(levelWords(sim.Face))), "description": "how widely one draw is shared"},
		"knowledge": typed("boolean", "lack of knowledge, not variation from part to part"),
		"source":    typed("string", "where the numbers come from; it goes into the report"),
		"value":     map[string]any{"type": []string{"string", "number"}},
		"left":      map[string]any{"$ref": "#/$defs/input"},
		"right":     map[string]any{"$ref": "#/$defs/input"},
	}
	for _, key := range append(slices.Clone(besides), "median") {
		if keys[key] == nil {
			keys[key] = map[string]any{"type": []string{"string", "number"}}
		}
	}
	for _, shape := range append(dist.Shapes(), measured, mixture) {
		for _, key := range new(shapeReader).keysOf(shape) {
			if keys[key] == nil && key != "pNN" {
				keys[key] = map[string]any{"type": []string{"string", "number", "boolean", "array"}}
			}
		}
	}
	keys["lots"] = map[string]any{"type": "array", "items": map[string]any{"$ref": "#/$defs/distribution"}}
	return map[string]any{"type": "object", "properties": keys, "additionalProperties": false,
		"patternProperties": map[string]any{percentileKey.String(): map[string]any{"type": []string{"string", "number"}}}}
}

// schemaLists are the lists of tables, [[condition]] and the like.
func schemaLists() map[string]any {
	text, input, table := map[string]any{"type": "string"}, map[string]any{"$ref": "#/$defs/input"}, map[string]any{"type": "object"}
	texts := func(least int, words ...string) map[string]any {
		one := map[string]any{"type": "string"}
		if len(words) > 0 {
			one = map[string]any{"enum": words}
		}
		return map[string]any{"type": "array", "items": one, "minItems": least}
	}
	several := func(least int, of map[string]any) map[string]any {
		return map[string]any{"type": "array", "items": of, "minItems": least}
	}
	pair := texts(2)
	pair["maxItems"] = 2
	ageing := formed(ageingKeys, map[string]any{"after": agedFrom.form(), "from": agedFrom.form(), "recheck": agedFrom.form(), "slope": growth.form()})
	reinsertion := formed(reinsertionKeys, map[string]any{"times": insertions.form(), "drift": frictionMove.form(), "constant": insertionsOf.form(), "inputs": texts(1, frictionKeys...)})
	step := formed(costStepKeys, map[string]any{"spread": factorOf.form(), "cost": costOf.form(), "label": text})
	choice := formed(choiceKeys, map[string]any{"name": text, "cost": costOf.form(), "replace": table})
	return map[string]any{
		"component": formed(componentKeys, map[string]any{"name": text, "power": input, "resistance": input, "place": input, "limit": limitSchema()}),
		"condition": formed(conditionKeys, map[string]any{
			"name": text, "share": shareOfTime.form(), "replace": table, "ageing": ageing, "reinsertion": reinsertion, "informative": map[string]any{"type": "boolean"}}),
		"correlation": formed(correlationKeys, map[string]any{"between": pair, "rank": rankOf.form()}),
		"cost":        formed(costKeys, map[string]any{"input": text, "steps": several(1, step)}),
		"option":      formed(optionKeys, map[string]any{"name": text, "choices": several(2, choice)}),
	}
}

// formed is a table of these keys and no others, of which the forms are known.
func formed(keys []string, forms map[string]any) map[string]any {
	table := closed(keys...)
	maps.Copy(table["properties"].(map[string]any), forms)
	return table
}

// slotSchema is a [[chassis.slot]].
func slotSchema() map[string]any {
	text := map[string]any{"type": "string"}
	return formed(slotKeys, map[string]any{"name": text, "card": text, "count": map[string]any{"type": "integer", "minimum": 1, "maximum": mostSlots}, "replace": map[string]any{"type": "object"}})
}

// Key is a key that a study may have.
type Key struct {
	Key     string
	Unit    string // one that its value may have; empty for words and lists
	Meaning string
}

// Keys lists all keys: inputs, plain keys, limits, components and the lists.
func Keys() []Key {
	var list []Key
	for _, p := range slices.Concat(allParameters(nil), chassisTable) {
		list = append(list, Key{p.Key, units.Example(units.Quantity(p.Unit)), p.Meaning})
	}
	for _, key := range slices.Concat(plainKeys, pieceFlatness) {
		if !slices.ContainsFunc(list, func(k Key) bool { return k.Key == key }) {
			list = append(list, Key{Key: key})
		}
	}
	for _, o := range limitOutputs {
		list = append(list, Key{Key: join(limitsTable, o.name), Unit: units.Example(o.quantity), Meaning: "limit"})
	}
	for _, key := range componentKeys {
		list = append(list, Key{Key: "[[component]] " + key})
	}
	for _, key := range []string{"extends", "[[chassis.slot]]", "[[condition]]", "[[correlation]]", "[[cost]]", "[[option]]"} {
		list = append(list, Key{Key: key})
	}
	slices.SortStableFunc(list, func(a, b Key) int {
		table := func(k Key) string { t, _, _ := strings.Cut(k.Key, "."); return t }
		return cmp.Or(cmp.Compare(table(a), table(b)), cmp.Compare(a.Key, b.Key))
	})
	return list
}
