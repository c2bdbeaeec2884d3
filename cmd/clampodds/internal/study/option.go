package study

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
)

// Option is a part of the design that is open: the finish, the family of clamp, the
// torque tool, a tolerance. One of its choices is taken.
type Option struct {
	Name    string
	Choices []Choice
	File    string
	Line    int
}

// Choice is one of what is on offer.
type Choice struct {
	Name string
	// Cost is in the unit of the study's choice, the same for all.
	Cost float64
	// Replaced are the keys it replaces, sorted; none: it is the study as written.
	Replaced []string

	entries []entry
}

var (
	optionKeys = []string{"name", "choices", "source"}
	choiceKeys = []string{"name", "cost", "replace"}
)

// options reads [[option]].
func (r *reader) options() []Option {
	e, ok := r.entries["option"]
	if !ok {
		return nil
	}
	var list []Option
	for i, table := range elements(e, e.value, r.problem) {
		part := fmt.Sprintf("[%d]", i)
		unknownKeys(e, part, table, optionKeys, r.problem)
		o := Option{File: e.doc.file, Line: e.line(part)}
		o.Name, _ = table["name"].(string)
		if o.Name == "" || slices.ContainsFunc(list, func(other Option) bool { return other.Name == o.Name }) {
			r.refuse(e, part+".name", table["name"], "an option needs a name of its own", "")
		}
		o.Choices = r.choices(e, part+".choices", table["choices"])
		list = append(list, o)
	}
	return list
}

// choices reads what is on offer of one option.
func (r *reader) choices(e entry, part string, value any) []Choice {
	offered, _ := value.([]any)
	if len(offered) < 2 {
		r.refuse(e, part, value, "a list of two choices or more expected", `for instance choices = [{ name = "bare", cost = 0 }, { name = "anodised", cost = 3, replace = { "rail.finish" = "hard anodic film" } }]`)
	}
	var list []Choice
	for i, value := range offered {
		at := fmt.Sprintf("%s[%d]", part, i)
		table, ok := value.(map[string]any)
		if !ok {
			r.refuse(e, at, value, "a choice is a table", `for instance { name = "anodised", cost = 3, replace = { "rail.finish" = "hard anodic film" } }`)
			continue
		}
		unknownKeys(e, at, table, choiceKeys, r.problem)
		var c Choice
		c.Name, _ = table["name"].(string)
		if c.Name == "" || slices.ContainsFunc(list, func(other Choice) bool { return other.Name == c.Name }) {
			r.refuse(e, at+".name", table["name"], "a choice needs a name of its own", "")
		}
		c.Cost = r.costAt(e, at, table)
		switch replaced, isTable := table["replace"].(map[string]any); {
		case isTable:
			c.entries = r.replacements(e, at+".replace", replaced, r.withSlots(designKeys), "the choice")
			c.Replaced = keysOf(c.entries)
		case table["replace"] != nil:
			r.refuse(e, at+".replace", table["replace"], "a choice replaces keys", `for instance replace = { "rail.finish" = "hard anodic film" }`)
		}
		list = append(list, c)
	}
	return list
}

// designKeys are the keys that a choice may replace: those that say what the design is,
// not what is asked of it.
func designKeys(components []string) map[string]bool {
	keys := inputKeys(components)
	for _, key := range slices.Concat(plainKeys, pieceFlatness) {
		switch table, _, _ := strings.Cut(key, "."); table {
		case "clamp", "flange", "rail", "screw", "surface", "gas", "face", "torque":
			keys[key] = true
		}
	}
	return keys
}

// Chosen returns the design with one choice taken of each option, by its place in the
// list, conditions included. An error says what does not go together.
func (s *Study) Chosen(choices []int) (*Study, error) {
	if len(choices) != len(s.Options) {
		return nil, fmt.Errorf("study: %d choices of %d options", len(choices), len(s.Options))
	}
	var entries []entry
	hash := sha256.New()
	fmt.Fprint(hash, s.Digest)
	for i, o := range s.Options {
		if choices[i] < 0 || choices[i] >= len(o.Choices) {
			return nil, fmt.Errorf("study: %s has no choice %d", o.Name, choices[i])
		}
		entries = append(entries, o.Choices[choices[i]].entries...)
		fmt.Fprint(hash, "/", choices[i])
	}
	src := s.sources.replaced(entries)
	chosen, derived, problems := withConditions(src)
	if len(problems) > 0 {
		return nil, problems.sort(src.files)
	}
	chosen.Options, chosen.Files, chosen.Digest = s.Options, s.Files, hex.EncodeToString(hash.Sum(nil))
	chosen.judgeConditions(derived)
	return chosen, nil
}

// tryChoices reports the choices that cannot be taken in the study as written.
func (s *sources) tryChoices(options []Option) (problems Problems) {
	for _, o := range options {
		for _, c := range o.Choices {
			_, _, more := withConditions(s.replaced(c.entries))
			for _, p := range more {
				p.Message = fmt.Sprintf("with %s, %s: %s", o.Name, c.Name, p.Message)
				problems = append(problems, p)
			}
		}
	}
	return problems
}
