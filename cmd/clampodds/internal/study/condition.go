package study

import (
	"fmt"
	"strconv"

	"clampodds/cmd/clampodds/internal/units"
)

// Condition is a named set of replaced inputs: as built, after ageing, at
// altitude, hot day.
type Condition struct {
	Name string
	// Share is the share of the mission's time; 0 when unset.
	Share float64
	// Informative: it is shown, and not judged.
	Informative bool
	// Replaced are the keys it replaces, or changes by ageing or reinsertion,
	// sorted.
	Replaced []string
	File     string
	Line     int

	entries []entry
	drifts  []drift
	list    entry // that it stands in
}

var conditionKeys = []string{"name", "share", "replace", "ageing", "reinsertion", "source", "informative"}

// conditions reads [[condition]].
func (r *reader) conditions() []Condition {
	e, ok := r.entries["condition"]
	if !ok {
		return nil
	}
	var list []Condition
	seen := map[string]bool{}
	total := 0.0
	for i, table := range elements(e, e.value, r.problem) {
		part := fmt.Sprintf("[%d]", i)
		unknownKeys(e, part, table, conditionKeys, r.problem)
		c := Condition{File: e.doc.file, Line: e.line(part), list: e}
		c.Name, _ = table["name"].(string)
		if c.Name == "" || seen[c.Name] {
			r.refuse(e, part+".name", table["name"], "a condition needs a name of its own", "")
		}
		seen[c.Name] = true
		if v, ok := table["share"]; ok {
			share, ok := r.quantity(e, part+".share", v, units.Number, 1)
			total += share.SI
			if ok && !(share.SI > 0 && share.SI <= 1 && total <= 1+1e-9) { // 0.1 + 0.2 + 0.7 rounds
				r.refuse(e, part+".share", v, "shares of the mission time are above 0, and all together at most 1", "")
			}
			c.Share = share.SI
		}
		if v, ok := table["informative"]; ok {
			if c.Informative, ok = v.(bool); !ok {
				r.refuse(e, part+".informative", v, "true or false is expected", "")
			}
		}
		r.changes(e, part, table, &c)
		list = append(list, c)
	}
	return list
}

// changes reads what a condition changes.
func (r *reader) changes(e entry, part string, table map[string]any, c *Condition) {
	ageing, aged := table["ageing"]
	reinsertion, worn := table["reinsertion"]
	replaced, ok := table["replace"]
	if ok || !aged && !worn {
		r.replace(e, part+".replace", replaced, c)
	}
	if aged {
		r.ageing(e, part+".ageing", ageing, c)
	}
	if worn {
		r.reinsertion(e, part+".reinsertion", reinsertion, c)
	}
}

// replace reads the inputs that a condition replaces.
func (r *reader) replace(e entry, part string, value any, c *Condition) {
	table, ok := value.(map[string]any)
	if !ok || len(table) == 0 {
		r.refuse(e, part, value, "a condition replaces inputs", `for instance replace = { "wall.temperature" = "55 degC" }`)
		return
	}
	known := r.withSlots(conditionable)
	c.entries = r.replacements(e, part, table, known, "the condition")
	c.Replaced = keysOf(c.entries)
}

// conditionable are the keys that a condition may replace.
func conditionable(components []string) map[string]bool {
	keys := inputKeys(components)
	keys["gas.kind"] = true
	return keys
}

// replacements reads a table of keys with what stands in their place.
func (r *reader) replacements(e entry, part string, table map[string]any, known map[string]bool, who string) (list []entry) {
	within := sources{opened: r.opened, entries: map[string]entry{}, components: r.components, slots: r.slots}
	collect := collector{doc: e.doc, known: known, problem: r.problem, add: func(replaced entry) {
		if clash, clashes := within.lay(replaced); clashes {
			r.problem(replaced.problem("", replaced.value, who+" replaces the input for both edges together and for one apart, in line "+strconv.Itoa(clash.line("")), ""))
		}
		list = append(list, replaced)
	}}
	collect.table("", e.path+part, table)
	return list
}

func keysOf(entries []entry) (keys []string) {
	for _, e := range entries {
		keys = append(keys, e.key)
	}
	return keys
}
