package study

import (
	"cmp"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/stat"

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

func (r *reader) correlations(inputs []Input) []Correlation {
	var list []Correlation
	for f := range r.tables("correlation", correlationKeys) {
		a, b, okPair := f.between(inputs)
		rank, okRank := f.number("rank", units.Number, rankOf.fits, rankOf.wanted)
		if okPair && okRank {
			list = append(list, Correlation{A: a, B: b, Rank: rank, File: f.file(), Line: f.line()})
		}
	}
	return list
}

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
		case inputs[at].Dist == nil && f.moved:
			return "", "", false // what a condition or a choice makes constant
		case inputs[at].Dist == nil:
			refuse("this input is constant and correlates with nothing", "give it a spread, or leave the correlation out")
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

type dataColumn struct {
	file, column string
	values       []float64 // in the order of the file
}

// mostRank stands for columns that rise and fall strictly together: sim.Inputs
// takes correlations short of 1.
const mostRank = 0.9999

// pairColumns adds the correlations of inputs whose readings stand side by side
// in one file: rows of two columns belong together. A correlation that the study
// states goes first.
func pairColumns(stated []Correlation, inputs []Input) []Correlation {
	list := stated
	for i := range inputs {
		for j := range inputs[:i] {
			a, b := &inputs[j], &inputs[i]
			if !sideBySide(a, b) || correlated(stated, a, b) {
				continue
			}
			rank := stat.Correlation(ranks(a.data.values), ranks(b.data.values), nil)
			if rank == rank { // NaN for a column of equal readings
				list = append(list, Correlation{A: a.Key, B: b.Key, Rank: min(max(rank, -mostRank), mostRank), File: b.File, Line: b.Line})
			}
		}
	}
	return list
}

func correlated(list []Correlation, a, b *Input) bool {
	return slices.ContainsFunc(list, func(c Correlation) bool {
		return c.A == a.Key && c.B == b.Key || c.A == b.Key && c.B == a.Key
	})
}

func sideBySide(a, b *Input) bool {
	return a.data != nil && b.data != nil && a.Dist != nil && b.Dist != nil && a.Level == b.Level &&
		a.data.file == b.data.file && a.data.column != b.data.column && len(a.data.values) == len(b.data.values)
}

// ranks returns the rank of each value, ties sharing their mean: Spearman's
// coefficient is the correlation of the ranks.
func ranks(values []float64) []float64 {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Compare(values[i], values[j]) })
	out := make([]float64, len(values))
	for start := 0; start < len(order); {
		end := start
		for end < len(order) && values[order[end]] == values[order[start]] {
			end++
		}
		for _, i := range order[start:end] {
			out[i] = float64(start+end-1) / 2
		}
		start = end
	}
	return out
}
