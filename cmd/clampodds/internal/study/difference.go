package study

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"clampodds/joint/card"
	"clampodds/joint/force"
)

// DifferenceKind says what of two studies differs.
type DifferenceKind int

// The kinds.
const (
	// InputDiffers: both studies have the input.
	InputDiffers DifferenceKind = iota + 1
	// StructureDiffers: what does not scatter, and inputs that one study has
	// only.
	StructureDiffers
	// CorrelationDiffers: how inputs hang together.
	CorrelationDiffers
)

// Difference is one thing in which two studies differ that changes what is
// computed. Sources, free text, limits and how the run is done are none.
type Difference struct {
	Kind DifferenceKind
	// Key is the key in the study file, Meaning the same in words.
	Key, Meaning string
	// Before and After are what each study says.
	Before, After string
}

// Differences lists what differs between two studies, the structure first, then
// input by input.
func Differences(before, after *Study) []Difference {
	list := structureDifferences(before, after)
	for i := range before.Inputs {
		a := &before.Inputs[i]
		b := after.Input(a.Key)
		switch {
		case sharedOtherwise(before, after, a.own):
			list = append(list, slotDifferences(before, after, a.own, list)...)
		case b == nil && !givenAlike(before, after, a):
			list = append(list, apartDifference(before, after, a, list)...)
		case b == nil:
			if !a.off() {
				list = append(list, Difference{StructureDiffers, a.Key, a.Parameter.Meaning, a.InWords(), "none"})
			}
		case !sameInput(a, b):
			list = append(list, Difference{InputDiffers, a.Key, a.Parameter.Meaning, before.inWords(a), after.inWords(b)})
		}
	}
	for i := range after.Inputs {
		if b := &after.Inputs[i]; before.Input(b.Key) == nil && !b.off() && givenAlike(before, after, b) && !sharedOtherwise(before, after, b.own) {
			list = append(list, Difference{StructureDiffers, b.Key, b.Parameter.Meaning, "none", b.InWords()})
		}
	}
	return append(list, correlationDifferences(before, after)...)
}

// givenAlike reports whether both studies give an input for both edges together, or
// both for each apart, or one not at all.
func givenAlike(before, after *Study, in *Input) bool {
	a, b := len(before.Edges(in.Parameter.Key)), len(after.Edges(in.Parameter.Key))
	return a == b || a == 0 || b == 0
}

// apartDifference is that of an input which one study gives for each edge apart, once.
func apartDifference(before, after *Study, in *Input, list []Difference) []Difference {
	key := in.Parameter.Key
	if slices.ContainsFunc(list, func(d Difference) bool { return d.Key == key }) {
		return nil
	}
	words := func(s *Study) string {
		edges := s.Edges(key)
		if len(edges) == 1 {
			return edges[0].InWords()
		}
		return fmt.Sprintf("left: %s; right: %s", edges[0].InWords(), edges[1].InWords())
	}
	return []Difference{{StructureDiffers, key, in.Parameter.Meaning, words(before), words(after)}}
}

// off reports that the input is a default that stands for nothing.
func (in *Input) off() bool {
	return in.Origin == Default && in.Nominal == 0 && in.Parameter.Zero != ""
}

// sameInput reports whether two inputs are drawn alike.
func sameInput(a, b *Input) bool {
	return a.Nominal == b.Nominal && a.Level == b.Level && a.Knowledge == b.Knowledge &&
		(a.open == nil) == (b.open == nil) && reflect.DeepEqual(a.lot, b.lot) && reflect.DeepEqual(a.Dist, b.Dist)
}

// InWords is the input as it stands in the file, with how widely a draw is shared.
func (in *Input) InWords() string {
	text := in.Typed
	if text == "" {
		text = in.Format(in.Nominal)
	}
	if in.Dist != nil && in.Level != 0 {
		text += ", per " + in.Level.String()
	}
	if in.Knowledge {
		text += ", not known"
	}
	return text
}

// inWords is InWords, but for an altitude that a pressure takes the place of, and what is not given.
func (s *Study) inWords(in *Input) string {
	if key, ok := strings.CutSuffix(in.Key, "gas.altitude"); ok && in.Origin == Default {
		if pressure := s.Input(key + "gas.pressure"); pressure != nil && pressure.Origin != Default {
			return "not used"
		}
	}
	if in.off() {
		return in.Parameter.Zero
	}
	return in.InWords()
}

func structureDifferences(before, after *Study) (list []Difference) {
	if before.Chassis == nil || after.Chassis == nil {
		return layoutDifferences("", &before.Layout, &after.Layout)
	}
	a, b := before.Chassis.Slots, after.Chassis.Slots
	if x, y := slotsInWords(a), slotsInWords(b); x != y {
		return []Difference{{StructureDiffers, slotList, "slots in the order of the coolant", x, y}}
	}
	for i := range a {
		for _, d := range layoutDifferences(a[i].Of+".", &a[i].Layout, &b[i].Layout) {
			if !slices.Contains(list, d) {
				list = append(list, d)
			}
		}
	}
	return list
}

func slotsInWords(slots []Slot) string {
	var names []string
	for _, slot := range slots {
		names = append(names, slot.Name)
	}
	return strings.Join(names, ", ")
}

// layoutDifferences compares those of two cards; their keys begin with slot.
func layoutDifferences(slot string, a, b *card.Layout) (list []Difference) {
	for _, d := range []Difference{
		{Key: "clamp.family", Meaning: "kind of clamp", Before: a.Family.String(), After: b.Family.String()},
		{Key: "clamp.anchor", Meaning: "where the train is held", Before: a.Anchor.String(), After: b.Anchor.String()},
		{Key: "clamp.pieces", Meaning: "wedge pieces of a train", Before: fmt.Sprint(a.Pieces), After: fmt.Sprint(b.Pieces)},
		{Key: "screw.thread", Meaning: "thread of the screw", Before: threadInWords(&a.Thread), After: threadInWords(&b.Thread)},
		{Key: "gas.kind", Meaning: "gas in the gaps", Before: a.Gas.String(), After: b.Gas.String()},
		{Key: "component", Meaning: "components on the card", Before: listInWords(a.Components), After: listInWords(b.Components)},
	} {
		if d.Before != d.After {
			d.Kind, d.Key = StructureDiffers, slot+d.Key
			list = append(list, d)
		}
	}
	return list
}

func threadInWords(t *force.Thread) string {
	return strings.TrimSpace(fmt.Sprintf("%s pitch %.4g mm, pitch diameter %.4g mm, stress area %.4g mm2",
		t.Designation, 1e3*t.Pitch, 1e3*t.PitchDiameter, 1e6*t.StressArea))
}

func listInWords(names []string) string {
	if len(names) == 0 {
		return "none"
	}
	return strings.Join(names, ", ")
}

// correlationDifferences compares the correlations, whatever their order.
func correlationDifferences(before, after *Study) []Difference {
	ranks := func(s *Study) map[string]string {
		m := map[string]string{}
		for _, c := range s.Correlations {
			m[min(c.A, c.B)+" and "+max(c.A, c.B)] = fmt.Sprintf("rank %g", c.Rank)
		}
		return m
	}
	a, b := ranks(before), ranks(after)
	var list []Difference
	add := func(pair string) {
		d := Difference{Kind: CorrelationDiffers, Key: "correlation of " + pair, Meaning: "rank correlation", Before: a[pair], After: b[pair]}
		for _, side := range []*string{&d.Before, &d.After} {
			if *side == "" {
				*side = "none"
			}
		}
		if d.Before != d.After && !slices.Contains(list, d) {
			list = append(list, d)
		}
	}
	for _, s := range []*Study{before, after} {
		for _, c := range s.Correlations {
			add(min(c.A, c.B) + " and " + max(c.A, c.B))
		}
	}
	return list
}

// Step is a study with some of the differences to another one.
type Step struct {
	Name  string
	Study *Study
}

// Steps takes the differences between two studies one at a time: before with
// each input of after, with the structure of after, with its correlations. What
// cannot stand alone, such as one of two inputs that belong together, is left
// out. With fewer than two steps there is nothing to take apart.
func Steps(before, after *Study) []Step {
	var steps []Step
	done := map[string]bool{}
	for _, d := range Differences(before, after) {
		var step Step
		switch d.Kind {
		case InputDiffers:
			changed := before.WithInput(*after.Input(d.Key))
			step = Step{d.Key, changed.withCorrelations(before.Correlations)}
		case StructureDiffers:
			step = Step{StructureStep, before.withStructure(after)}
		default:
			step = Step{CorrelationStep, before.withCorrelations(after.Correlations)}
		}
		if !done[step.Name] && step.Study.complete() {
			steps = append(steps, step)
		}
		done[step.Name] = true
	}
	if len(steps) < 2 {
		return nil
	}
	return steps
}

// The names of the steps that are not those of inputs.
const (
	StructureStep   = "the structure"
	CorrelationStep = "the correlations"
)

// complete reports whether a derived study can be run.
func (s *Study) complete() bool {
	_, noInputs := s.RandomInputs()
	_, noModel := s.Model()
	return noInputs == nil && noModel == nil
}

// withStructure is the other study with the inputs of s, as far as s has them.
func (s *Study) withStructure(other *Study) *Study {
	derived := *other
	derived.Inputs = slices.Clone(other.Inputs)
	for i := range derived.Inputs {
		in := &derived.Inputs[i]
		if own := s.Input(in.Key); own != nil && own.Level <= finest(in.Parameter.Scope) {
			parameter, slots := in.Parameter, in.slots
			*in = *own
			in.Parameter, in.slots = parameter, slots
		}
	}
	derived.Correlations = nil
	for _, c := range s.Correlations {
		if derived.correlates(c) {
			derived.Correlations = append(derived.Correlations, c)
		}
	}
	return &derived
}

// correlates reports whether a correlation is possible between the study's inputs.
func (s *Study) correlates(c Correlation) bool {
	a, b := s.Input(c.A), s.Input(c.B)
	return a != nil && b != nil && a.Dist != nil && b.Dist != nil && a.Level == b.Level
}

// withCorrelations is the study with other correlations, as far as its inputs
// have them.
func (s *Study) withCorrelations(list []Correlation) *Study {
	derived := *s
	derived.Correlations = nil
	for _, c := range list {
		if s.correlates(c) {
			derived.Correlations = append(derived.Correlations, c)
		}
	}
	return &derived
}

// PosteriorSource is how the source of an input starts that calibrate wrote.
const PosteriorSource = "posterior from "

// KnownApart lists the inputs that are lack of knowledge of the model and not of the part, its own error and what a
// calibration narrowed, and that two studies state differently. What one knows better is no better part.
func KnownApart(a, b *Study) (keys []string) {
	for i := range a.Inputs {
		in := &a.Inputs[i]
		other := b.Input(in.Key)
		if other == nil || !in.Knowledge && !other.Knowledge || sameInput(in, other) {
			continue
		}
		posterior := strings.HasPrefix(in.Source, PosteriorSource) || strings.HasPrefix(other.Source, PosteriorSource)
		if posterior || strings.HasPrefix(in.Key, "contact.") {
			keys = append(keys, in.Key)
		}
	}
	return keys
}

// Carries refuses to take what readings of one study's hardware say of inputs over to another study: where it states them
// otherwise, or where its faces are others, of which the readings say nothing.
func Carries(read, other *Study, keys []string) error {
	for _, key := range keys {
		in, there := read.Input(key), other.Input(key)
		if there == nil || !sameInput(in, there) {
			return fmt.Errorf("%s is not the same in %s as in %s: it would not be known what the readings are added to", key, other.Name, read.Name)
		}
	}
	var faces []string
	for _, d := range Differences(read, other) {
		if ofFaces(d.Key) {
			faces = append(faces, d.Key)
		}
	}
	if len(faces) > 0 {
		return fmt.Errorf("%s has other faces than were read (%s): the readings say nothing of them, and a worse part would look better for it", other.Name, strings.Join(faces, ", "))
	}
	return nil
}

// ofFaces reports whether an input or word says what the contact faces are made of.
func ofFaces(key string) bool {
	if strings.Contains(key, ".coat.") || key == "clamp.family" {
		return true
	}
	return slices.ContainsFunc([]string{".hardness", ".roughness", ".film", ".finish", ".material", ".slope"}, func(end string) bool { return strings.HasSuffix(key, end) })
}

// sharedOtherwise reports whether the same slots of two chassis share an input otherwise, by the key
// that their cards know it by: one has it for other slots together than the other.
func sharedOtherwise(before, after *Study, own string) bool {
	if own == "" || before.Chassis == nil || after.Chassis == nil || slotsInWords(before.Chassis.Slots) != slotsInWords(after.Chassis.Slots) {
		return false
	}
	keys := func(s *Study) (list []string) {
		for i := range s.Inputs {
			if s.Inputs[i].own == own {
				list = append(list, s.Inputs[i].Key)
			}
		}
		return list
	}
	a, b := keys(before), keys(after)
	return len(a) > 0 && len(b) > 0 && !slices.Equal(a, b)
}

// slotDifferences are those of an input that slots share otherwise, slot by slot; list has what is
// told already. A difference has the key of the study that has it for fewer slots.
func slotDifferences(before, after *Study, own string, list []Difference) (found []Difference) {
	for slot := range before.Chassis.Slots {
		a, b := before.joined(slot, own), after.joined(slot, own)
		d := Difference{Kind: StructureDiffers, Before: "none", After: "none"}
		switch {
		case a == nil && b == nil, a != nil && b != nil && sameInput(a, b):
			continue
		case b == nil || a != nil && len(a.slots) < len(b.slots):
			d.Key, d.Meaning = a.Key, a.Parameter.Meaning
		default:
			d.Key, d.Meaning = b.Key, b.Parameter.Meaning
		}
		if a != nil {
			d.Before = a.InWords()
		}
		if b != nil {
			d.After = b.InWords()
		}
		if !slices.Contains(list, d) && !slices.Contains(found, d) {
			found = append(found, d)
		}
	}
	return found
}
