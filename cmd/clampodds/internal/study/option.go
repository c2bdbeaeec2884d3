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
}

// Choice is one of what is on offer.
type Choice struct {
	Name string
	// Cost is in the unit of the study's choice, the same for all.
	Cost    float64
	entries []entry // that it replaces; none: it is the study as written
}

var (
	optionKeys = []string{"name", "choices", "source"}
	choiceKeys = []string{"name", "cost", "replace"}
)

func (r *reader) options() []Option {
	var list []Option
	names := map[string]bool{}
	for f := range r.tables("option", optionKeys) {
		o := Option{Name: f.ownName("an option", names), Choices: f.choices()}
		f.contradicts(list, o)
		list = append(list, o)
	}
	return list
}

// contradicts reports a key that an earlier option replaces too: a combination could have one of both only.
func (f fields) contradicts(earlier []Option, o Option) {
	for _, key := range o.replaced() {
		at := slices.IndexFunc(earlier, func(other Option) bool { return slices.Contains(other.replaced(), key) })
		if at >= 0 {
			f.refuse(f.entry, f.part+".choices", nil, fmt.Sprintf("%s is replaced by a choice of %s too: the two cannot be chosen together", key, earlier[at].Name),
				"let one option replace it, with a choice for each combination")
		}
	}
}

func (o Option) replaced() (keys []string) {
	for _, c := range o.Choices {
		keys = append(keys, keysOf(c.entries)...)
	}
	slices.Sort(keys)
	return slices.Compact(keys)
}

// Differs lists what a choice of an option changes in the study as written.
func (s *Study) Differs(option, choice int) []Difference {
	changed, _ := interpret(s.sources.replaced(s.Options[option].Choices[choice].entries), "") // was tried when it was read
	return Differences(s, changed)
}

// choices reads what is on offer of one option.
func (f fields) choices() []Choice {
	offered, _ := f.table["choices"].([]any)
	if len(offered) < 2 {
		f.wrong("choices", "a list of two choices or more expected", `for instance choices = [{ name = "bare", cost = 0 }, { name = "anodised", cost = 3, replace = { "rail.finish" = "hard anodic film" } }]`)
	}
	var list []Choice
	names := map[string]bool{}
	for i, value := range offered {
		choice, ok := f.tableAt(f.entry, fmt.Sprintf("%s.choices[%d]", f.part, i), value, choiceKeys,
			"a choice is a table", `{ name = "anodised", cost = 3, replace = { "rail.finish" = "hard anodic film" } }`)
		if !ok {
			continue
		}
		c := Choice{Name: choice.ownName("a choice", names), Cost: choice.within("cost", costOf)}
		switch replaced, isTable := choice.table["replace"].(map[string]any); {
		case isTable:
			c.entries = choice.replacements(replaced, f.withSlots(designKeys), "the choice")
		case choice.table["replace"] != nil:
			choice.wrong("replace", "a choice replaces keys", `for instance replace = { "rail.finish" = "hard anodic film" }`)
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

// Cost is what tolerances on offer for one input cost.
type Cost struct {
	// Input is the key of the input, which scatters.
	Input string
	Steps []CostStep
}

// CostStep is one tolerance on offer.
type CostStep struct {
	// Spread multiplies the spread of the input, or its size where it is a
	// deviation from zero; 1 is the study as written.
	Spread float64
	// Cost is in the unit of the study's choice, the same for all steps.
	Cost float64
	// Label says what it is, "lapped"; may be empty.
	Label string
}

var (
	costKeys     = []string{"input", "steps", "source"}
	costStepKeys = []string{"spread", "cost", "label"}
)

func (r *reader) costs(inputs []Input) []Cost {
	var list []Cost
	for f := range r.tables("cost", costKeys) {
		c := Cost{Input: f.word("input")}
		at := slices.IndexFunc(inputs, func(in Input) bool { return in.Key == c.Input })
		switch {
		case at < 0 && sideHint(c.Input, inputs) != "":
			f.wrong("input", "there is no such input", sideHint(c.Input, inputs))
		case at < 0 && !inputKeys(r.components)[c.Input]:
			f.wrong("input", "the key of an input expected", nearestKey(c.Input, inputKeys(r.components)))
		case at >= 0 && inputs[at].Dist == nil:
			f.wrong("input", "this input is constant: it has no tolerance to change", "")
		case slices.ContainsFunc(list, func(other Cost) bool { return other.Input == c.Input }):
			f.wrong("input", "the costs of this input are there already", "")
		}
		c.Steps = f.costSteps()
		list = append(list, c)
	}
	return list
}

// costSteps reads the steps on offer for one input.
func (f fields) costSteps() []CostStep {
	steps, _ := f.table["steps"].([]any)
	if len(steps) == 0 {
		f.wrong("steps", "a list of steps expected", "for instance steps = [{ spread = 1, cost = 0 }, { spread = 0.5, cost = 12 }]")
	}
	var list []CostStep
	for i, value := range steps {
		step, ok := f.tableAt(f.entry, fmt.Sprintf("%s.steps[%d]", f.part, i), value, costStepKeys, "a step is a table", "{ spread = 0.5, cost = 12 }")
		if !ok {
			continue
		}
		list = append(list, CostStep{Spread: step.within("spread", factorOf), Cost: step.within("cost", costOf), Label: step.text("label")})
	}
	return list
}
