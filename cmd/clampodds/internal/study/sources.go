package study

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strings"

	"clampodds/cmd/clampodds/internal/files"
)

// entry is one key of a study with its value and where it stands.
type entry struct {
	key   string // "screw.torque"
	value any
	doc   *document
	path  string // the key's name in doc.lines, which differs inside lists
}

// line is where a part of the value stands: "" is the key itself, ".mean" a key
// of its inline table, "[1].name" a key of an element of its list. A part that is
// not there stands where what should hold it does.
func (e entry) line(part string) int {
	for {
		if line, ok := e.doc.lines[e.path+part]; ok || part == "" {
			return line
		}
		part = part[:max(0, strings.LastIndexAny(part, ".["))]
	}
}

// problem reports value, the part of the entry that is wrong.
func (e entry) problem(part string, value any, message, hint string) Problem {
	return Problem{
		File: e.doc.file, Line: e.line(part), Key: e.key + part,
		Value: quoted(value), Message: message, Hint: hint,
	}
}

// sources is a study file with its bases laid over one another.
type sources struct {
	*opened
	name       string
	entries    map[string]entry
	components []string      // in the order of their first appearance
	slots      []slotSources // of a chassis
	problems   Problems
	capitals   []string  // names of components that are taken in lower case
	overlaid   []Warning // of what was laid over a base, or over a card
	broken     bool      // a file could not be read: what it says is unknown
	moved      bool      // a condition, a choice or a slot replaced something

	// forms, if there is such a map, takes the JSON Schema of every plain key that is read.
	forms map[string]map[string]any
}

// opened is what was read from files; a study shares it with its conditions.
type opened struct {
	open  func(string) ([]byte, error)
	files []string // bases first, then the study, then measured data
	texts [][]byte // in the order they were opened: the study, its bases, measured data
	data  map[string][]byte
}

// readSources reads a study and the files it extends.
func readSources(name string, text []byte, open func(string) ([]byte, error)) *sources {
	s := &sources{opened: &opened{open: open, data: map[string][]byte{}}, name: name, entries: map[string]entry{}}
	s.read(name, text, nil)
	s.readSlots()
	return s
}

// read lays one file over its base. chain is the files on the way here.
func (s *sources) read(name string, text []byte, chain []string) {
	s.texts = append(s.texts, text)
	chain = append(chain, name)
	doc, problems := readDocument(name, text)
	if doc != nil {
		s.extend(doc, chain)
	}
	s.files = append(s.files, name)
	if doc == nil {
		s.problems, s.broken = append(s.problems, problems...), true
		return
	}
	s.capitals = append(s.capitals, doc.lowerNames()...)
	s.collect(doc)
}

// extend reads the base of a document, if it names one.
func (s *sources) extend(doc *document, chain []string) {
	value, ok := doc.root["extends"]
	if !ok {
		return
	}
	at := entry{key: "extends", doc: doc, path: "extends"}
	fail := func(message, hint string) {
		s.problems, s.broken = append(s.problems, at.problem("", value, message, hint)), true
	}
	base, ok := value.(string)
	if !ok || base == "" {
		fail("a file name expected", `for instance "base.toml"`)
		return
	}
	file := beside(doc.file, base)
	switch {
	case slices.Contains(chain, file):
		fail("the files extend one another in a circle", strings.Join(append(chain, file), " extends "))
		return
	case len(chain) > maxBases:
		fail(fmt.Sprintf("more than %d files extend one another", maxBases), "")
		return
	}
	text, err := s.open(file)
	if err != nil {
		fail(openMessage(file, err), nearestFile(file, err))
		return
	}
	s.read(file, text, chain)
}

// dataFile reads a file of measured data once.
func (s *opened) dataFile(file string) ([]byte, error) {
	if text, ok := s.data[file]; ok {
		return text, nil
	}
	text, err := s.open(file)
	if err == nil {
		s.data[file] = text
		s.files, s.texts = append(s.files, file), append(s.texts, text)
	}
	return text, err
}

// replaced returns the sources with some entries replaced; all else is shared.
func (s *sources) replaced(by []entry) *sources {
	copied := *s
	copied.moved = true
	copied.entries = maps.Clone(s.entries)
	for _, e := range by {
		if slices.Contains(gasStates, e.key) { // both in by are refused
			for _, key := range gasStates {
				delete(copied.entries, key)
			}
		}
	}
	for _, e := range by {
		copied.lay(e)
	}
	copied.slots = slices.Clone(s.slots)
	for i := range copied.slots {
		slot := &copied.slots[i]
		common, named := s.concerning(slot, by)
		slot.sources = slot.replaced(append(common, named...))
	}
	return &copied
}

// digest is the SHA-256 over all that was read, each text behind its length.
func (s *opened) digest() string {
	h := sha256.New()
	for _, text := range s.texts {
		h.Write(binary.BigEndian.AppendUint64(nil, uint64(len(text))))
		h.Write(text)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// openMessage says why a file could not be opened, without repeating its name.
func openMessage(file string, err error) string {
	if refused := (files.Refused{}); errors.As(err, &refused) {
		return refused.Error()
	}
	if path := new(fs.PathError); errors.As(err, &path) {
		err = path.Err
	}
	return fmt.Sprintf("%s cannot be read: %v", file, err)
}

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
		case "cost", "option":
			s.put(entry{key, value, doc, key})
		case "correlation", "condition":
			s.putList(entry{key, value, doc, key})
		default:
			c.descend(key, key, value)
		}
	}
}

// put adds an entry; one of a base is replaced.
func (s *sources) put(e entry) {
	s.overlaid = append(s.overlaid, s.lostScatter([]entry{e})...)
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

func (c *collector) table(key, path string, table map[string]any) {
	for _, k := range slices.Sorted(maps.Keys(table)) {
		c.descend(join(key, k), join(path, k), table[k])
	}
}

var (
	componentName = regexp.MustCompile(`^[a-z0-9][a-z0-9_-]*$`)
	notInName     = regexp.MustCompile(`[^a-z0-9_-]+`)
)

// plainName is the hint of a name that a component may have, made of one that it may not.
func plainName(name string) string {
	if word := plainWord(name); word != "" {
		return fmt.Sprintf("for instance %q", word)
	}
	return ""
}

func plainWord(name string) string {
	return strings.Trim(notInName.ReplaceAllString(strings.ToLower(name), "-"), "-_")
}

// collectComponents turns [[component]] into component.NAME.power and so on, so
// that an extending study and a condition may replace one key of one component.
func (s *sources) collectComponents(c *collector, value any) {
	list := entry{"component", value, c.doc, "component"}
	seen := map[string]bool{}
	for i, element := range elements(list, value, c.problem) {
		at := fmt.Sprintf("[%d]", i)
		name, _ := element["name"].(string)
		if !componentName.MatchString(name) {
			c.problem(list.problem(at+".name", element["name"], "a component needs a name of letters, digits, _ and -", plainName(name)))
			if name = plainWord(name); name == "" || seen[name] {
				name = fmt.Sprintf("component-%d", i+1) // what else is wrong with it is told at once
			}
		}
		switch {
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
				hint := didYouMean(k, componentKeys)
				if k == "target" || k == "max" {
					hint = `it stands with the limit: limit = { max = "85 degC", target = 1e-3 }`
				}
				c.problem(e.problem("", e.value, "the key is not known", hint))
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

// ListReplaced: a list of the study replaces that of its base as a whole, and what the
// base had more is gone.
const ListReplaced Code = "list-replaced"

// putList adds a list, which replaces that of a base as a whole, and warns of members that
// the base names and this list does not. An empty list says that none is wanted.
func (s *sources) putList(e entry) {
	if old, ok := s.entries[e.key]; ok && old.doc != e.doc {
		kept := memberNames(e.value)
		gone := slices.DeleteFunc(memberNames(old.value), func(name string) bool { return slices.Contains(kept, name) })
		if len(gone) > 0 && len(kept) > 0 {
			s.overlaid = append(s.overlaid, Warning{
				Code: ListReplaced, File: e.doc.file, Line: e.line(""), Key: e.key,
				Message: fmt.Sprintf("%s of %s is left out: [[%s]] replaces the list of the base as a whole; repeat here what is to stay", strings.Join(gone, ", "), old.doc.file, e.key),
			})
		}
	}
	s.put(e)
}

// memberNames are the names of a list's members: their own, or those of the two that
// go together.
func memberNames(list any) (names []string) {
	members, _ := list.([]any)
	for _, member := range members {
		table, _ := member.(map[string]any)
		for _, key := range []string{"name", "between"} {
			if value, ok := table[key]; ok {
				names = append(names, memberName(value))
				break
			}
		}
	}
	return names
}

func memberName(value any) string {
	pair, ok := value.([]any)
	if !ok {
		return fmt.Sprint(value)
	}
	var words []string
	for _, one := range pair {
		words = append(words, fmt.Sprint(one))
	}
	return strings.Join(words, " and ")
}
