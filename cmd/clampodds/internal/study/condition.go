package study

import (
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
	var list []Condition
	names, total := map[string]bool{}, 0.0
	share := func(x float64) bool { // adds up as it judges
		total += x
		return x > 0 && x <= 1 && total <= 1+1e-9 // 0.1 + 0.2 + 0.7 rounds
	}
	for f := range r.tables("condition", conditionKeys) {
		c := Condition{Name: f.ownName("a condition", names), Informative: f.flag("informative"), File: f.file(), Line: f.line(), list: f.entry}
		if f.has("share") {
			c.Share, _ = f.number("share", units.Number, share, "shares of the mission time are above 0, and all together at most 1")
		}
		f.changes(&c)
		list = append(list, c)
	}
	return list
}

// changes reads what a condition changes.
func (f fields) changes(c *Condition) {
	if f.has("replace") || !f.has("ageing") && !f.has("reinsertion") {
		f.replace(c)
	}
	if f.has("ageing") {
		f.ageing(c)
	}
	if f.has("reinsertion") {
		f.reinsertion(c)
	}
}

// replace reads the inputs that a condition replaces.
func (f fields) replace(c *Condition) {
	table, _ := f.table["replace"].(map[string]any)
	if len(table) == 0 {
		f.wrong("replace", "a condition replaces inputs", `for instance replace = { "wall.temperature" = "55 degC" }`)
		return
	}
	c.entries = f.replacements(table, f.withSlots(conditionable), "the condition")
	c.Replaced = keysOf(c.entries)
}

// conditionable are the keys that a condition may replace.
func conditionable(components []string) map[string]bool {
	keys := inputKeys(components)
	keys["gas.kind"] = true
	return keys
}

// replacements reads the table of keys under replace with what stands in their place.
func (f fields) replacements(table map[string]any, known map[string]bool, who string) (list []entry) {
	within := sources{opened: f.opened, entries: map[string]entry{}, components: f.components, slots: f.slots}
	collect := collector{doc: f.entry.doc, known: known, problem: f.problem, add: func(replaced entry) {
		if clash, clashes := within.lay(replaced); clashes {
			f.problem(replaced.problem("", replaced.value, who+" replaces the input for both edges together and for one apart, in line "+strconv.Itoa(clash.line("")), ""))
		}
		list = append(list, replaced)
	}}
	collect.table("", f.entry.path+f.part+".replace", table)
	return list
}

func keysOf(entries []entry) (keys []string) {
	for _, e := range entries {
		keys = append(keys, e.key)
	}
	return keys
}
