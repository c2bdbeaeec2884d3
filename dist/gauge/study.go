// Package gauge judges a gauge by readings of the same parts: parts x operators x repeats,
// or parts x repeats by one operator.
//
// # The study
//
// Every operator reads every part equally often, twice at least; parts and operators stand
// for all others of their kind (two-way crossed random model). The analysis of variance is
// given with the interaction of operator and part and without it, its sum of squares then
// counted as repeatability. It is left out when its F test has p > 0.25 (Bancroft, Biometrics
// 20 (1964) 427, from memory): a test of 5 % would leave out many that are there.
//
// # Components
//
// Variance components are differences of mean squares; one below zero is set to zero. Their
// intervals are modified large-sample intervals: of the repeatability exact (chi-square), of
// differences Ting, Burdick, Graybill, Jeyaratnam and Lu, J. Statist. Comput. Simul. 35 (1990)
// 135, of the sum over the gauge Graybill and Wang, J. Am. Statist. Assoc. 75 (1980) 869 (all
// from memory). The choice of the model is no part of them; what they cover with it is
// repeated in the coverage suite.
//
// # Uncertainty
//
// The terms of ISO 22514-7: u_EVO repeatability on the parts, u_RE resolution, the larger of
// which counts, u_CAL calibration, u_LIN linearity; together the measuring system, u_MS. With u_AV
// operators and u_IA interaction they are the measurement process, u_MP. Accepting and
// rejecting parts follows ISO 14253-1: a part conforms where its reading is inside the limit by
// g u or more.
package gauge

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Reading is one reading of a part.
type Reading struct {
	Part, Operator string
	Value          float64 // finite
	Line           int     // where it stands, for what is refused
}

// table holds readings by part, operator and repeat.
type table struct {
	parts, operators []string
	cells            [][][]Reading // [part][operator], by order of reading
	repeats          int
}

// arrange sorts readings into cells and refuses what is not a balanced study, all of it at
// once.
func arrange(readings []Reading) (*table, error) {
	t := &table{}
	var part, operator numbered
	for _, r := range readings {
		if math.IsNaN(r.Value) || math.IsInf(r.Value, 0) {
			return nil, fmt.Errorf("line %d: a reading must be finite", r.Line)
		}
		part.add(r.Part)
		operator.add(r.Operator)
	}
	t.parts, t.operators = part.names, operator.names
	for range t.parts {
		t.cells = append(t.cells, make([][]Reading, len(t.operators)))
	}
	for _, r := range readings {
		cell := &t.cells[part.at[r.Part]][operator.at[r.Operator]]
		*cell = append(*cell, r)
	}
	if len(t.parts) < 2 {
		return nil, fmt.Errorf("a gauge study takes two parts or more, there are %d", len(t.parts))
	}
	t.repeats = t.usual()
	if wrong := t.unbalanced(); len(wrong) > 0 {
		return nil, errors.New(strings.Join(wrong, "\n"))
	}
	if t.repeats < 2 {
		return nil, errors.New("every part is read once by each operator: repeatability takes two readings or more")
	}
	return t, nil
}

// numbered numbers names in the order they come.
type numbered struct {
	names []string
	at    map[string]int
}

func (n *numbered) add(name string) {
	if n.at == nil {
		n.at = map[string]int{}
	}
	if _, known := n.at[name]; !known {
		n.at[name] = len(n.names)
		n.names = append(n.names, name)
	}
}

// usual is the number of readings that most cells have, the larger one of a tie.
func (t *table) usual() int {
	count := map[int]int{}
	for _, row := range t.cells {
		for _, cell := range row {
			count[len(cell)]++
		}
	}
	most := 0
	for n, cells := range count {
		if n > 0 && cmp.Or(cmp.Compare(cells, count[most]), cmp.Compare(n, most)) > 0 {
			most = n
		}
	}
	return most
}

// mostProblems is how many cells are named.
const mostProblems = 20

// unbalanced lists the cells with another number of readings than most.
func (t *table) unbalanced() (wrong []string) {
	more := 0
	for i, row := range t.cells {
		for j, cell := range row {
			switch {
			case len(cell) == t.repeats:
			case len(wrong) == mostProblems:
				more++
			default:
				wrong = append(wrong, t.complaint(i, j))
			}
		}
	}
	if more > 0 {
		wrong = append(wrong, fmt.Sprintf("and %d more", more))
	}
	return wrong
}

func (t *table) complaint(part, operator int) string {
	cell := t.cells[part][operator]
	name := "part " + t.parts[part]
	if len(t.operators) > 1 {
		name += ", operator " + t.operators[operator]
	}
	if len(cell) == 0 {
		return fmt.Sprintf("%s: no reading, other cells have %d (the part is on %s)", name, t.repeats, lines(slices.Concat(t.cells[part]...)))
	}
	return fmt.Sprintf("%s: %d on %s, other cells have %d", name, len(cell), lines(cell), t.repeats)
}

func lines(readings []Reading) string {
	var list []string
	for _, r := range readings {
		list = append(list, fmt.Sprint(r.Line))
	}
	if len(list) == 1 {
		return "line " + list[0]
	}
	return "lines " + strings.Join(list, ", ")
}
