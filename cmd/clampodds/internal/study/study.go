package study

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/joint/card"
	"clampodds/sim"
)

// Study is a study file as understood: complete, checked, in SI units. It is not
// changed after Load or Parse and is safe for concurrent use.
type Study struct {
	// Name is the file, Files all files read: bases first, then the study, then
	// measured data.
	Name  string
	Files []string
	// Digest is the SHA-256, in hexadecimal, over the study, its bases and its
	// data files in the order they were opened, each behind its length.
	Digest string

	// Free text for the report.
	Title, Project, Document, Revision, Author string

	Run    Run
	Layout card.Layout // of a card
	// Chassis is nil for the study of a card.
	Chassis *Chassis
	// Inputs are all inputs of the model in its own order, defaults included.
	Inputs []Input
	Limits []Limit

	Correlations []Correlation
	// RepairCorrelations lets correlations that contradict one another be
	// replaced by the nearest that do not.
	RepairCorrelations bool

	// ConditionName is the condition this study was derived for, empty for the
	// study as written.
	ConditionName string
	Conditions    []Condition
	// Costs are those of tolerances on offer, Options the parts of the design that are open.
	Costs   []Cost
	Options []Option

	// ChangeMargin is the change of the exceedance probability that is still
	// taken as safe; 0 when unset.
	ChangeMargin float64
	Tool         Tool
	Verdict      Verdict

	Warnings []Warning
	// Capitals are the names of components that are taken in lower case.
	Capitals []string

	sources *sources
	derived []*Study // in each of its conditions
}

// Run is how the Monte Carlo is run.
type Run struct {
	Samples         int // 100 000 unless given
	Seed            uint64
	Confidence      float64 // level of the intervals, 0.95 unless given
	CardsPerChassis int     // cards that share chassis, lot and design draws; 1 unless given
}

// Tool is how the torque tool scatters when another torque is set.
type Tool struct {
	Resolution float64 // steps the torque is set in, N*m; 0 when unset
	// Scatter says whether the spread of the torque keeps its share of the
	// torque (Fraction) or its size (Absolute).
	Scatter Scatter
	// Least and Most are the torques that the clamp maker allows, Margin is kept to either end
	// of the window, LargestTolerance is the largest that makes sense on a drawing, N*m; 0
	// when unset.
	Least, Most, Margin, LargestTolerance float64
	// Class is the largest deviation that the tool's class permits, over the torque; 0 when
	// unset.
	Class float64
}

// Scatter is the way a torque tool's spread goes with the torque.
type Scatter int

// The ways; Fraction unless the study says otherwise.
const (
	Fraction Scatter = iota + 1
	Absolute
)

// String is the word of the study file.
func (s Scatter) String() string {
	switch s {
	case Fraction:
		return "fraction"
	case Absolute:
		return "absolute"
	}
	return "unset"
}

// Load reads a study file, what it extends, and its data files. File names in a
// study are relative to the file they stand in. The error is Problems, with
// everything that is wrong, or the operating system's where a file is there and cannot be read.
func Load(file string) (*Study, error) {
	text, err := files.Read(context.Background(), file, files.MostOfStudy)
	if err != nil {
		return nil, fmt.Errorf("study: %w%s", err, NearestFile(file, err))
	}
	var failed error // what is no fault of the study
	open := func(name string) ([]byte, error) {
		text, err := files.Read(context.Background(), filepath.FromSlash(name), files.MostOfData)
		if refused := (files.Refused{}); err != nil && !errors.As(err, &refused) && !errors.Is(err, fs.ErrNotExist) {
			failed = err
		}
		return text, err
	}
	s, err := Parse(path.Clean(filepath.ToSlash(file)), text, open)
	if failed != nil {
		return nil, fmt.Errorf("study: %w", failed)
	}
	return s, err
}

// Parse is Load for a study in memory. name is used in messages and to find the
// other files, which open reads, with slashes in their names.
func Parse(name string, text []byte, open func(name string) ([]byte, error)) (*Study, error) {
	src := readSources(name, text, open)
	if src.broken {
		return nil, src.problems.sort(src.files)
	}
	s, derived, problems := withConditions(src)
	problems = append(src.problems, problems...)
	if len(problems) == 0 {
		problems = src.tryChoices(s.Options)
	}
	if len(problems) > 0 {
		return nil, problems.sort(src.files)
	}
	s.Files, s.Digest = src.files, src.digest() // with the data of conditions and choices
	for _, one := range derived {
		one.Files, one.Digest = s.Files, s.Digest
	}
	s.Warnings, s.Capitals = append(s.Warnings, src.overlaid...), src.capitals
	s.judgeConditions(derived)
	for _, o := range s.Options {
		for _, c := range o.Choices {
			s.Warnings = append(s.Warnings, src.lostScatter(c.entries)...)
		}
	}
	return s, nil
}

// withConditions interprets the entries as written and in every condition.
func withConditions(src *sources) (s *Study, derived []*Study, problems Problems) {
	s, problems = interpret(src, "")
	derived = make([]*Study, len(s.Conditions))
	for i, c := range s.Conditions {
		var more Problems
		derived[i], more = src.condition(c)
		problems = append(problems, more...)
	}
	return s, derived, problems
}

// Condition returns the study with the inputs that a condition replaces. Its
// variables keep their names, so that both draw the same numbers.
func (s *Study) Condition(name string) (*Study, error) {
	var names []string
	for _, c := range s.Conditions {
		names = append(names, c.Name)
	}
	listed := slices.Clone(names)
	for i, n := range listed {
		if strings.Contains(n, ",") {
			listed[i] = strconv.Quote(n)
		}
	}
	if i := slices.Index(names, name); i >= 0 {
		derived := new(Study)
		if s.derived != nil {
			*derived = *s.derived[i]
		} else { // it is in a condition already
			var problems Problems
			if derived, problems = s.sources.condition(s.Conditions[i]); len(problems) > 0 {
				return nil, problems.sort(s.Files)
			}
		}
		derived.Conditions, derived.Options = s.Conditions, s.Options
		return derived, nil
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("study: there is no condition %q: the study has none", name)
	}
	return nil, fmt.Errorf("study: there is no condition %q%s; there are: %s", name, DidYouMean(name, names), strings.Join(listed, ", "))
}

// interpret turns entries into a study. With problems the study is what could be
// read.
func interpret(src *sources, condition string) (*Study, Problems) {
	r := &reader{sources: src}
	s := &Study{Name: src.name, ConditionName: condition, sources: src}
	s.Title, s.Project, s.Document = r.text("title"), r.text("project"), r.text("document")
	s.Revision, s.Author = r.text("revision"), r.text("author")
	s.Run = r.run()
	r.takes("repair_correlations", map[string]any{"type": "boolean"})
	s.RepairCorrelations = asWritten(r, "repair_correlations", false, func(bool) bool { return true }, "true or false expected")
	var cards []*Study
	if src.slots != nil {
		cards = r.chassis(s)
	} else {
		r.card(s)
	}
	s.Verdict = r.verdict(s.Inputs)
	if condition == "" { // else they are read already
		s.Conditions = r.conditions()
		s.Options = r.options()
	}
	s.Costs = r.costs(s.Inputs)
	s.ChangeMargin = r.fraction("change.margin", 0, 1, 0)
	s.Tool = r.tool()
	if cards != nil {
		r.joinTool(&s.Tool, cards)
	}
	r.judgeTool(s)
	if len(r.problems) == 0 && len(src.problems) == 0 {
		r.wire(s)
	}
	s.Files, s.Digest, s.Warnings = src.files, src.digest(), r.warnings
	return s, r.problems
}

func (r *reader) card(s *Study) {
	r.onlyCard()
	s.Layout = r.layout()
	r.oneOf("surface.roughness_as", "Ra", "rms") // without it a roughness would be a guess
	r.readMaterials()
	s.Inputs = r.inputs(&s.Layout)
	s.Limits = r.limits()
	s.Correlations = pairEdges(pairColumns(r.correlations(s.Inputs), s.Inputs), s.Inputs)
	r.judgeTogether(s)
}

// wire tries whether model and inputs can be made: what only they can judge.
func (r *reader) wire(s *Study) {
	if _, err := s.Model(); err != nil {
		r.problem(Problem{File: s.Name, Message: err.Error()})
	}
	e, correlated := r.entries["correlation"]
	_, moved, err := s.randomInputs()
	switch {
	case err != nil && correlated:
		r.refuse(e, "", nil, err.Error(), "")
	case err != nil:
		r.problem(Problem{File: s.Name, Message: err.Error()})
	case moved > 0:
		r.warnings = append(r.warnings, Warning{
			Code: CorrelationsRepaired, File: e.doc.file, Line: e.line(""), Key: e.key,
			Message: fmt.Sprintf("the correlations cannot all hold together; the nearest that can are used, at most %.2g off", moved),
		})
	}
}

func (r *reader) run() Run {
	return Run{
		Samples:         int(r.integer("run.samples", 1, sim.MostSamples, 100_000)),
		Seed:            uint64(r.integer("run.seed", 0, 1<<62, 1)),
		Confidence:      r.fraction("run.confidence", 0.5, 1, 0.95),
		CardsPerChassis: int(r.integer("run.cards_per_chassis", 1, 1000, 1)),
	}
}

func (r *reader) tool() Tool {
	t := Tool{
		Scatter: Fraction, Resolution: r.torque("torque.resolution"), Least: r.torque("torque.least"), Most: r.torque("torque.most"),
		Margin: r.torque("torque.margin"), LargestTolerance: r.torque("torque.largest_tolerance"), Class: r.fraction("torque.tool_class", 0, 0.5, 0),
	}
	if e, ok := r.entries["torque.most"]; ok && t.Least > 0 && t.Most > 0 && !(t.Least < t.Most) {
		r.refuse(e, "", e.value, "a torque above torque.least expected", "")
	}
	if r.firstOr("torque.scatter", Fraction.String(), Absolute.String()) == Absolute.String() {
		t.Scatter = Absolute
	}
	return t
}

// Verdict is how requirements are judged: table [verdict].
type Verdict struct {
	// Predictive says that the probability averaged over what is not known decides
	// alone ("predictive"); else it must hold with the confidence of the intervals over
	// what is not known ("confident", unless given).
	Predictive bool
	// Assumed are the inputs that are taken to be as stated, though they are not known:
	// the verdict then says "if <input> is as assumed".
	Assumed []string
	// Accuracy is the half-width wanted of the number of record, over the probability; 0 where the study leaves it to
	// the rule.
	Accuracy float64
}

// FinestAccuracy and coarsestAccuracy bound verdict.accuracy: 25 times the usual rows, and about where an
// interval still says something.
const (
	FinestAccuracy   = 0.02
	coarsestAccuracy = 0.5
)

// The words of verdict.policy.
const (
	confident  = "confident"
	predictive = "predictive"
)

// verdict reads [verdict]; inputs are those of the study.
func (r *reader) verdict(inputs []Input) Verdict {
	r.takes("verdict.accuracy", map[string]any{"type": "number", "minimum": FinestAccuracy, "maximum": coarsestAccuracy})
	r.takes("verdict.assumed", map[string]any{"type": "array", "items": map[string]any{"type": "string"}})
	v := Verdict{Accuracy: asWritten(r, "verdict.accuracy", 0, func(a float64) bool { return FinestAccuracy <= a && a <= coarsestAccuracy }, fmt.Sprintf("a number from %g to %g expected", FinestAccuracy, coarsestAccuracy))}
	v.Predictive = r.firstOr("verdict.policy", confident, predictive) == predictive
	e, ok := r.entries["verdict.assumed"]
	if !ok {
		return v
	}
	list, ok := e.value.([]any)
	if !ok {
		r.refuse(e, "", e.value, "a list of inputs in quotes is expected", `for instance ["contact.factor"]`)
	}
	for i, item := range list {
		key, _ := item.(string)
		at := slices.IndexFunc(inputs, func(in Input) bool { return in.Key == key && in.Knowledge })
		if at < 0 {
			r.refuse(e, fmt.Sprintf("[%d]", i), item, "no input of that name is marked as lack of knowledge", didYouMean(key, notKnown(inputs)))
			continue
		}
		inputs[at].Assumed = true
		v.Assumed = append(v.Assumed, key)
	}
	return v
}

// notKnown are the inputs marked as lack of knowledge.
func notKnown(inputs []Input) (keys []string) {
	for _, in := range inputs {
		if in.Knowledge {
			keys = append(keys, in.Key)
		}
	}
	return keys
}
