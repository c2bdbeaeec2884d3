package study

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// schemaCheck is the part of JSON Schema that the schema uses.
type schemaCheck struct{ defs map[string]any }

// misses lists where a value is not as the schema says.
func (c schemaCheck) misses(at string, schema map[string]any, value any) (list []string) {
	if ref, ok := schema["$ref"].(string); ok {
		return c.misses(at, c.defs[filepath.Base(ref)].(map[string]any), value)
	}
	if any, ok := schema["anyOf"].([]any); ok {
		for _, one := range any {
			if list = c.misses(at, one.(map[string]interface{}), value); len(list) == 0 {
				return nil
			}
		}
		return list
	}
	if words, ok := schema["enum"].([]any); ok && !slices.Contains(words, value) {
		list = append(list, fmt.Sprint(at, ": ", value))
	}
	if of, ok := schema["type"]; ok && !slices.ContainsFunc(asList(of), func(t any) bool { return isType(t.(string), value) }) {
		return append(list, fmt.Sprintf("%s: %T", at, value))
	}
	if x, ok := number(value); ok {
		for bound, misses := range map[string]func(x, bound float64) bool{
			"minimum": func(x, b float64) bool { return x < b }, "maximum": func(x, b float64) bool { return x > b },
			"exclusiveMinimum": func(x, b float64) bool { return x <= b }, "exclusiveMaximum": func(x, b float64) bool { return x >= b },
		} {
			if b, ok := schema[bound].(float64); ok && misses(x, b) {
				list = append(list, fmt.Sprint(at, ": ", bound))
			}
		}
		if of, ok := asTable(schema["not"])["multipleOf"].(float64); ok && math.Mod(x, of) == 0 {
			list = append(list, at+": even")
		}
	}
	if items, ok := schema["items"].(map[string]any); ok {
		n := float64(len(value.([]any)))
		if least, ok := schema["minItems"].(float64); ok && n < least {
			list = append(list, at+": minItems")
		}
		if most, ok := schema["maxItems"].(float64); ok && n > most {
			list = append(list, at+": maxItems")
		}
		for i, v := range value.([]any) {
			list = append(list, c.misses(fmt.Sprint(at, "[", i, "]"), items, v)...)
		}
	}
	table, ok := value.(map[string]any)
	properties, closed := schema["properties"].(map[string]any)
	if !ok || !closed {
		return list
	}
	for key, v := range table {
		one, known := properties[key].(map[string]any)
		for pattern, p := range asTable(schema["patternProperties"]) {
			if !known && regexp.MustCompile(pattern).MatchString(key) {
				one, known = p.(map[string]any), true
			}
		}
		if !known {
			list = append(list, at+"."+key)
			continue
		}
		list = append(list, c.misses(at+"."+key, one, v)...)
	}
	return list
}

func asTable(v any) map[string]any { t, _ := v.(map[string]any); return t }

func number(v any) (float64, bool) {
	switch x := v.(type) {
	case int64:
		return float64(x), true
	case float64:
		return x, true
	}
	return 0, false
}

func asList(v any) []any {
	if list, ok := v.([]any); ok {
		return list
	}
	return []any{v}
}

func isType(name string, v any) bool {
	switch v.(type) {
	case string:
		return name == "string"
	case bool:
		return name == "boolean"
	case int64:
		return name == "integer" || name == "number"
	case float64:
		return name == "number"
	case []any:
		return name == "array"
	case map[string]any:
		return name == "object"
	}
	return false
}

// What the reader takes, the schema takes; a slip in any key it marks. A validator of another
// author (Python's jsonschema 4.26, by hand) said the same of the schema and the studies.
func TestSchemaTakesTheExamplesAndMarksSlips(t *testing.T) {
	text, err := json.Marshal(JSONSchema())
	require.NoError(t, err)
	var schema map[string]any
	require.NoError(t, json.Unmarshal(text, &schema))
	check := schemaCheck{schema["$defs"].(map[string]any)}
	files, err := filepath.Glob("../../../../testdata/*/*.toml")
	require.NoError(t, err)
	require.Greater(t, len(files), 8)
	for _, file := range files {
		content, err := os.ReadFile(file)
		require.NoError(t, err)
		var study map[string]any
		require.NoError(t, toml.Unmarshal(content, &study))
		assert.Empty(t, check.misses("", schema, study), file)
	}
	for slip, want := range map[string]string{
		"[screw]\ntorqe = \"0.7 N*m\"":                                  ".screw.torqe",
		"[screw]\ntorque = { shape = \"normla\", mean = \"0.7 N*m\" }":  ".screw.torque.shape: normla",
		"[[condition]]\nnmae = \"hot\"":                                 ".condition[0].nmae",
		"titel = \"x\"":                                                 ".titel",
		"[run]\nsamples = \"many\"":                                     ".run.samples: string",
		"[run]\nsamples = 0":                                            ".run.samples: minimum",
		"[run]\nconfidence = 95":                                        ".run.confidence: exclusiveMaximum",
		"[verdict]\npolicy = \"sure\"":                                  ".verdict.policy: sure",
		"[verdict]\naccuracy = 0.01":                                    ".verdict.accuracy: minimum",
		"[verdict]\nassumed = \"contact.factor\"":                       ".verdict.assumed: string",
		"[torque]\nscatter = \"relative\"":                              ".torque.scatter: relative",
		"[torque]\nmost = 1.6":                                          ".torque.most: float64",
		"[clamp]\nfamily = \"three-face\"\npieces = 5":                  ".clamp.family: three-face",
		"[clamp]\npieces = 4":                                           ".clamp.pieces: even",
		"[surface]\nroughness_as = \"Rz\"":                              ".surface.roughness_as: Rz",
		"[change]\nmargin = 1.5":                                        ".change.margin: exclusiveMaximum",
		"[[condition]]\nname = \"hot\"\nshare = 1.5":                    ".condition[0].share: maximum",
		"[[condition]]\nname = \"hot\"\nshare = 0":                      ".condition[0].share: exclusiveMinimum",
		"[[condition]]\nname = 3":                                       ".condition[0].name: int64",
		"[[condition]]\nageing = { slope = 11 }":                        ".condition[0].ageing.slope: maximum",
		"[[condition]]\nageing = { after = 0, from = 1 }":               ".condition[0].ageing.after: exclusiveMinimum",
		"[[condition]]\nreinsertion = { drift = -1 }":                   ".condition[0].reinsertion.drift: exclusiveMinimum",
		"[[condition]]\nreinsertion = { times = -1 }":                   ".condition[0].reinsertion.times: minimum",
		"[[condition]]\nreinsertion = { inputs = [\"friction.rump\"] }": ".condition[0].reinsertion.inputs[0]: friction.rump",
		"[[condition]]\nreinsertion = { inputs = [] }":                  ".condition[0].reinsertion.inputs: minItems",
		"[[correlation]]\nrank = 1":                                     ".correlation[0].rank: exclusiveMaximum",
		"[[correlation]]\nbetween = [\"screw.torque\"]":                 ".correlation[0].between: minItems",
		"[[correlation]]\nbetween = [\"a\", \"b\", \"c\"]":              ".correlation[0].between: maxItems",
		"[[cost]]\nsteps = [{ spread = 101, cost = 0 }]":                ".cost[0].steps[0].spread: maximum",
		"[[cost]]\nsteps = [{ spread = 1, cost = -1 }]":                 ".cost[0].steps[0].cost: minimum",
		"[[option]]\nchoices = [{ name = \"a\", cost = 0 }]":            ".option[0].choices: minItems",
		"[[chassis.slot]]\ncount = 65":                                  ".chassis.slot[0].count: maximum",
		"[[component]]\nname = 4":                                       ".component[0].name: int64",
		"repair_correlations = \"yes\"":                                 ".repair_correlations: string",
	} {
		var study map[string]any
		require.NoError(t, toml.Unmarshal([]byte(slip), &study))
		assert.Contains(t, check.misses("", schema, study), want, slip)
	}
}
