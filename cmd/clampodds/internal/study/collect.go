package study

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
)

// collector turns the values of one document into entries with full keys.
type collector struct {
	doc     *document
	known   map[string]bool
	add     func(entry)
	problem func(Problem)
}

// collect lays the entries of a document over those that are there.
func (s *sources) collect(doc *document) {
	c := collector{
		doc: doc, known: knownKeys(), add: func(e entry) { s.put(e) },
		problem: func(p Problem) { s.problems = append(s.problems, p) },
	}
	for _, key := range slices.Sorted(maps.Keys(doc.root)) {
		value := doc.root[key]
		switch key {
		case "extends": // read already
		case "component":
			s.collectComponents(&c, value)
		case "chassis":
			s.collectChassis(&c, value)
		case limitsTable:
			s.collectLimits(&c, "", value)
		case "correlation", "condition", "cost", "option":
			s.put(entry{key, value, doc, key})
		default:
			c.descend(key, key, value)
		}
	}
}

// put adds an entry; one of a base is replaced.
func (s *sources) put(e entry) {
	s.supersede(e)
	if old, ok := s.entries[e.key]; ok && old.doc == e.doc {
		s.problems = append(s.problems, e.problem("", e.value, "the key is given twice", fmt.Sprintf("also in line %d", old.line(""))))
	}
	if clash, clashes := s.lay(e); clashes {
		s.problems = append(s.problems, e.problem("", e.value, fmt.Sprintf("the input is given for both edges together and for one apart, in line %d", clash.line("")), "give it once, or for left and for right"))
	}
}

// descend goes down tables until it meets a known key. key is the full key, path
// its name in the lines of the document.
func (c *collector) descend(key, path string, value any) {
	e := entry{key, value, c.doc, path}
	table, isMap := value.(map[string]any)
	if c.known[key] {
		if e.value = c.apart(key, path, value); e.value != nil {
			c.add(e)
		}
		return
	}
	switch {
	case !isTable(key, c.known):
		c.problem(e.problem("", value, "the key is not known", nearestKey(key, c.known)))
	case !isMap:
		c.problem(e.problem("", value, "the key is a table of other keys, not a value", ""))
	default:
		c.table(key, path, table)
	}
}

// apart descends into what a value says of each edge apart, and returns the rest; nil
// when nothing is left.
func (c *collector) apart(key, path string, value any) any {
	table, isMap := value.(map[string]any)
	if !isMap {
		return value
	}
	rest := map[string]any{}
	for _, k := range slices.Sorted(maps.Keys(table)) {
		if c.known[join(key, k)] {
			c.descend(join(key, k), join(path, k), table[k])
		} else {
			rest[k] = table[k]
		}
	}
	if len(rest) == 0 && len(table) > 0 {
		return nil
	}
	return rest
}

// table descends into every key of a table.
func (c *collector) table(key, path string, table map[string]any) {
	for _, k := range slices.Sorted(maps.Keys(table)) {
		c.descend(join(key, k), join(path, k), table[k])
	}
}

var componentName = regexp.MustCompile(`^[a-z0-9][a-z0-9_-]*$`)

// collectComponents turns [[component]] into component.NAME.power and so on, so
// that an extending study and a condition may replace one key of one component.
func (s *sources) collectComponents(c *collector, value any) {
	list := entry{"component", value, c.doc, "component"}
	seen := map[string]bool{}
	for i, element := range elements(list, value, c.problem) {
		at := fmt.Sprintf("[%d]", i)
		name, _ := element["name"].(string)
		switch {
		case !componentName.MatchString(name):
			c.problem(list.problem(at+".name", element["name"], "a component needs a name of lower-case letters, digits, _ and -", ""))
			continue
		case seen[name]:
			c.problem(list.problem(at+".name", name, "a component of this name is there already", ""))
			continue
		}
		seen[name] = true
		if !slices.Contains(s.components, name) {
			s.components = append(s.components, name)
		}
		for _, k := range slices.Sorted(maps.Keys(element)) {
			e := entry{"component." + name + "." + k, element[k], c.doc, "component" + at + "." + k}
			switch {
			case !slices.Contains(componentKeys, k):
				c.problem(e.problem("", e.value, "the key is not known", didYouMean(k, componentKeys)))
			case k != "name":
				s.put(e)
			}
		}
	}
}

// elements returns the tables of a list of tables; anything else is a problem.
func elements(e entry, value any, problem func(Problem)) []map[string]any {
	list, ok := value.([]any)
	var tables []map[string]any
	for _, v := range list {
		table, isTable := v.(map[string]any)
		ok = ok && isTable
		tables = append(tables, table)
	}
	if !ok {
		problem(e.problem("", value, "a list of tables expected", fmt.Sprintf("begin each with [[%s]]", e.key)))
		return nil
	}
	return tables
}
