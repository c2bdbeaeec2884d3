package study

import (
	"fmt"
	"strings"

	"clampodds/joint/card"
	"clampodds/sim"
)

// An input with a value per edge or face may be given for each edge apart:
//
//	torque = { left = "0.70 N*m", right = { shape = "normal", ... } }
//
// which TOML also takes as torque.left = ... and torque.right = .... The keys of the
// two are screw.torque.left and screw.torque.right, in correlations, costs and
// conditions too. A study that extends another, and a condition, may give one side:
// the other stays as it was. A draw that both edges share is one: the same input where
// they are alike, else two that rise and fall together.

// sides are the words for the edges, in the model's order.
var sides = [...]string{"left", "right"}

// sideKeys are the keys of an input for each edge apart; none where a card has one
// value.
func sideKeys(p card.Parameter) (keys []string) {
	if p.Scope == card.PerCard {
		return nil
	}
	for _, side := range sides {
		keys = append(keys, join(p.Key, side))
	}
	return keys
}

// cutSide takes the side off a key that has one: "screw.torque", "left".
func cutSide(key string) (both, side string, ok bool) {
	for _, side := range sides {
		if both, ok := strings.CutSuffix(key, "."+side); ok {
			return both, side, true
		}
	}
	return key, "", false
}

// otherSide is the key of the other edge.
func otherSide(both, side string) string {
	if side == sides[0] {
		return join(both, sides[1])
	}
	return join(both, sides[0])
}

// lay puts an entry over those that are there; what is said of both edges together
// and of one apart goes by the later word. It returns the entry that one document
// may not have beside it.
func (s *sources) lay(e entry) (clash entry, clashes bool) {
	beside := func(key string) {
		if old, ok := s.entries[key]; ok && old.doc == e.doc {
			clash, clashes = old, true
		}
	}
	both, side, apart := cutSide(e.key)
	switch {
	case apart && s.withSlots(inputKeys)[both]:
		beside(both)
		if old, ok := s.entries[both]; ok {
			old.key = otherSide(both, side)
			s.entries[old.key] = old
			delete(s.entries, both)
		}
	case !apart && !strings.HasPrefix(e.key, limitsTable+"."):
		for _, side := range sides {
			beside(join(e.key, side))
			delete(s.entries, join(e.key, side))
		}
	}
	s.entries[e.key] = e
	return clash, clashes
}

// inputOf reads an input: for both edges together, or for each apart.
func (r *reader) inputOf(p card.Parameter, l *card.Layout) (list []Input) {
	switch given := r.present(sideKeys(p)); len(given) {
	case 0:
		if in, ok := r.input(p, l); ok {
			list = append(list, in)
		}
	case 1:
		both, side, _ := cutSide(given[0].key)
		r.refuse(given[0], "", nil, fmt.Sprintf("%s is missing: an input that is given for one edge apart needs the other", otherSide(both, side)), p.Meaning)
	default:
		list = r.apart(p, given)
	}
	return list
}

// apart reads an input that is given for each edge. One draw that both edges share
// is one input.
func (r *reader) apart(p card.Parameter, given []entry) (list []Input) {
	for i, e := range given {
		if in, ok := r.given(e, p); ok {
			in.Key, in.side = e.key, sides[i]
			list = append(list, in)
		}
	}
	if len(list) < len(sides) {
		return nil
	}
	a, b := &list[0], &list[1]
	if a.Level != 0 && a.Level < sim.Edge && sameInput(a, b) {
		a.Key, a.side = p.Key, ""
		return list[:1]
	}
	return list
}

// pairEdges lets the two edges of an input rise and fall together where its draw is
// shared more widely than by an edge: one lot, one chassis plate is behind both, however
// unlike they are. A correlation that is there already goes first.
func pairEdges(list []Correlation, inputs []Input) []Correlation {
	for i := range inputs {
		if i == 0 || inputs[i].side != sides[1] {
			continue
		}
		a, b := &inputs[i-1], &inputs[i]
		if a.Dist != nil && b.Dist != nil && a.Level == b.Level && a.Level < sim.Edge && !correlated(list, a, b) {
			list = append(list, Correlation{A: a.Key, B: b.Key, Rank: mostRank, File: b.File, Line: b.Line})
		}
	}
	return list
}

// instances are the places of the card that the input has a value for.
func (in *Input) instances(b *card.Binding) []card.Instance {
	all := b.Instances(in.Parameter.Key)
	if in.side == "" {
		return all
	}
	var own []card.Instance
	for _, at := range all {
		if sides[at.Edge] == in.side {
			own = append(own, at)
		}
	}
	return own
}

// Both reports whether the input is for both edges together, or for the card.
func (in *Input) Both() bool { return in.side == "" }

// Edges are the inputs of a key: one for both edges together, or one for each apart,
// the left one first; none when the study has no such input.
func (s *Study) Edges(key string) []*Input {
	if in := s.Input(key); in != nil {
		return []*Input{in}
	}
	var list []*Input
	for _, side := range sides {
		if in := s.Input(join(key, side)); in != nil {
			list = append(list, in)
		}
	}
	for i := range s.Inputs { // of a chassis whose cards differ: the first card's
		if in := &s.Inputs[i]; list == nil && s.Chassis != nil && in.Parameter.Key == key {
			list = append(list, in)
		}
	}
	return list
}

// At is the input of a key at an edge, 0 for the left one; nil when there is none.
func (s *Study) At(key string, edge int) *Input {
	list := s.Edges(key)
	if len(list) == 0 {
		return nil
	}
	return list[min(edge, len(list)-1)]
}

// OnlyApart is the error for what needs one value for both edges and finds one for
// each.
func (s *Study) OnlyApart(key string) error {
	if err := s.sameInAll(key); err != nil {
		return err
	}
	if s.Input(key) == nil && len(s.Edges(key)) > 0 {
		return fmt.Errorf("%s is given for left and right apart: here one value for both edges expected", key)
	}
	return nil
}

// sideHint is what to name in place of a key that the study gives otherwise: for each
// edge apart, or for both together; empty when that is not what is wrong.
func sideHint(key string, inputs []Input) string {
	both, _, _ := cutSide(key)
	for _, in := range inputs {
		switch {
		case in.Key == key || in.Parameter.Key != both:
		case key == both:
			return fmt.Sprintf("it is given for each edge apart: name %s.left or %s.right", key, key)
		case in.Both():
			return "it is given for both edges together: name " + both
		}
	}
	return ""
}
