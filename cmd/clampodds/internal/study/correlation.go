package study

import (
	"fmt"
	"slices"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/sim"
)

// Correlation is a rank correlation (Spearman) between two inputs that are drawn
// at the same level, edge by edge and face by face.
type Correlation struct {
	A, B string // keys
	Rank float64
	File string
	Line int
}

var correlationKeys = []string{"between", "rank", "source"}

// correlations reads [[correlation]].
func (r *reader) correlations(inputs []Input) []Correlation {
	var list []Correlation
	for f := range r.tables("correlation", correlationKeys) {
		a, b, okPair := f.between(inputs)
		rank, okRank := f.number("rank", units.Number, func(x float64) bool { return x > -1 && x < 1 }, "a rank correlation lies between -1 and 1")
		if okPair && okRank {
			list = append(list, Correlation{A: a, B: b, Rank: rank, File: f.file(), Line: f.line()})
		}
	}
	return list
}

// between reads the two inputs of a correlation.
func (f fields) between(inputs []Input) (a, b string, ok bool) {
	names, _ := f.table["between"].([]any)
	if len(names) != 2 {
		f.wrong("between", "the keys of two inputs expected", `for instance ["screw.torque", "screw.prevailing_torque"]`)
		return "", "", false
	}
	var pair [2]*Input
	for i := range pair {
		name, _ := names[i].(string)
		refuse := func(message, hint string) {
			f.refuse(f.entry, fmt.Sprintf("%s.between[%d]", f.part, i), names[i], message, hint)
		}
		at := slices.IndexFunc(inputs, func(in Input) bool { return in.Key == name })
		switch {
		case at < 0 && sideHint(name, inputs) != "":
			refuse("there is no such input", sideHint(name, inputs))
			return "", "", false
		case at < 0 && inputKeys(f.components)[name]:
			return "", "", false // reported where it stands
		case at < 0:
			refuse("there is no such input", nearestKey(name, inputKeys(f.components)))
			return "", "", false
		case inputs[at].Dist == nil:
			refuse("this input is constant and correlates with nothing", "")
			return "", "", false
		}
		pair[i] = &inputs[at]
	}
	if message := mismatch(pair[0], pair[1]); message != "" {
		f.refuse(f.entry, f.part+".between", nil, message, "")
		return "", "", false
	}
	return pair[0].Key, pair[1].Key, true
}

// mismatch says why two inputs cannot be correlated; empty when they can.
func mismatch(a, b *Input) string {
	switch {
	case a.Key == b.Key:
		return "an input is not correlated with itself"
	case a.Level != b.Level:
		return fmt.Sprintf("both inputs must be drawn at the same level: %s is drawn per %s, %s per %s",
			a.Key, a.Level, b.Key, b.Level)
	}
	if a.Level >= sim.Edge && !a.Both() && !b.Both() && a.side != b.side {
		return fmt.Sprintf("%s and %s are drawn at different edges, each for itself", a.Key, b.Key)
	}
	return ""
}

// pairs are the correlations variable by variable: those of the same edge or
// face, in the same slot. Faces that only one of the inputs has stay uncorrelated.
func (s *Study) pairs(seats []seat) []sim.Correlation {
	var list []sim.Correlation
	for _, c := range s.Correlations {
		first, second := s.Input(c.A), s.Input(c.B)
		others := second.draws(seats)
		for _, name := range first.draws(seats) {
			other := second.drawn() + name[len(first.drawn()):]
			if slices.Contains(others, other) {
				list = append(list, sim.Correlation{A: name, B: other, Rank: c.Rank})
			}
		}
	}
	return list
}

// Input returns the input of a key, nil when there is none.
func (s *Study) Input(key string) *Input {
	for i := range s.Inputs {
		if s.Inputs[i].Key == key {
			return &s.Inputs[i]
		}
	}
	return nil
}
