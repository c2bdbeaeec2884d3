package study

import (
	"regexp"
	"strings"
)

// Drawings call components Q1 and T1. A study takes such a name in lower case, and keys that name the component in either, so that one
// component has one name everywhere.
var (
	capitalName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_-]*$`)
	componentIn = regexp.MustCompile(`(^|[./])component\.[A-Za-z0-9_-]+`)
)

// lowerNames does so in the keys of a document, in the lists that name keys and in the lines, and returns the names that had capitals.
func (d *document) lowerNames() (had []string) {
	list, _ := d.root["component"].([]any)
	for _, element := range list {
		table, _ := element.(map[string]any)
		name, _ := table["name"].(string)
		if lower := strings.ToLower(name); lower != name && capitalName.MatchString(name) {
			table["name"] = lower
			had = append(had, name)
		}
	}
	lowered(d.root)
	for path, line := range d.lines {
		if lower := lowerKey(path); lower != path {
			d.lines[lower] = line
		}
	}
	return had
}

func lowerKey(key string) string { return componentIn.ReplaceAllStringFunc(key, strings.ToLower) }

// lowered goes through the tables of a value, and through the texts of its lists.
func lowered(value any) {
	switch v := value.(type) {
	case map[string]any:
		for key, inside := range v {
			lowered(inside)
			if named, isTable := inside.(map[string]any); isTable && key == "component" {
				lowerKeys(named, strings.ToLower)
			}
			if text, isText := inside.(string); isText && key == "input" {
				v[key] = lowerKey(text)
			}
		}
		lowerKeys(v, lowerKey)
	case []any:
		for i, inside := range v {
			if text, isText := inside.(string); isText {
				v[i] = lowerKey(text)
			}
			lowered(inside)
		}
	}
}

// lowerKeys leaves a key alone whose lower form is there already: that is then told as one that is not known.
func lowerKeys(table map[string]any, lower func(string) string) {
	changed := map[string]any{}
	for key, value := range table {
		if to := lower(key); to != key {
			if _, taken := table[to]; !taken {
				changed[key] = value
			}
		}
	}
	for key, value := range changed {
		delete(table, key)
		table[lower(key)] = value
	}
}
