package strata

import (
	"context"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"clampodds/sim"
	"clampodds/sim/batch"
)

// rowGroups is the number of sets of rows, each a stratified sample of its own, whose
// scatter gives the intervals.
const rowGroups = 20

// seen are the rows of a stratified sample that exceed the limit, by design: all that
// tells how the probability depends on what is not known.
type seen []exceeding

// exceeding are rows that exceed.
type exceeding struct {
	places         [][]float64 // the scores of the unknown inputs, by row
	weight         []float64   // W/n of the stratum
	value          []float64   // of the output
	stratum, group []int       // the group is of rowGroups
	row            []int       // that of the screen, whose places are not drawn yet
}

// add keeps a row, the nth of its stratum; it has no weight yet.
func (e *exceeding) add(stratum, nth int, value float64, place []float64) {
	e.places, e.value = append(e.places, place), append(e.value, value)
	e.stratum, e.group = append(e.stratum, stratum), append(e.group, nth%rowGroups)
}

// grow makes room for so many rows more.
func (e *exceeding) grow(rows int) {
	e.places, e.value = slices.Grow(e.places, rows), slices.Grow(e.value, rows)
	e.stratum, e.group = slices.Grow(e.stratum, rows), slices.Grow(e.group, rows)
}

func (e *exceeding) join(other exceeding) {
	e.places, e.value = append(e.places, other.places...), append(e.value, other.value...)
	e.stratum, e.group = append(e.stratum, other.stratum...), append(e.group, other.group...)
}

// sort orders the rows by stratum, those of one as they are.
func (e *exceeding) sort() {
	order := make([]int, len(e.stratum))
	for r := range order {
		order[r] = r
	}
	slices.SortStableFunc(order, func(a, b int) int { return e.stratum[a] - e.stratum[b] })
	*e = e.only(order)
}

// beyond are the rows that exceed q.
func (e exceeding) beyond(q sim.Requirement) exceeding {
	var rows []int
	for r, value := range e.value {
		if q.Exceeded(value) {
			rows = append(rows, r)
		}
	}
	return e.only(rows)
}

// only are some of the rows, in the order given, without weights.
func (e exceeding) only(rows []int) (kept exceeding) {
	for _, r := range rows {
		kept.places, kept.value = append(kept.places, e.places[r]), append(kept.value, e.value[r])
		kept.stratum, kept.group = append(kept.stratum, e.stratum[r]), append(kept.group, e.group[r])
		if e.row != nil {
			kept.row = append(kept.row, e.row[r])
		}
	}
	return kept
}

// weigh gives each row the share of the probability that it stands for.
func (e *exceeding) weigh(d drawn) {
	e.weight = make([]float64, len(e.stratum))
	for r, h := range e.stratum {
		e.weight[r] = d.strata[h].probability / float64(d.rows[h])
	}
}

// total is the probability of exceeding, and effective the number of rows of equal
// weight that would tell as much.
func (e exceeding) total() (probability, effective float64) {
	squares := 0.0
	for _, w := range e.weight {
		probability, squares = probability+w, squares+w*w
	}
	if squares == 0 {
		return 0, 0
	}
	return probability, probability * probability / squares
}

// counts are the rows that exceed q, by stratum of so many.
func (e exceeding) counts(q sim.Requirement, strata int) []int64 {
	n := make([]int64, strata)
	for r, h := range e.stratum {
		if q.Exceeded(e.value[r]) {
			n[h]++
		}
	}
	return n
}

// exceededBy is the limit that rows are beyond with a probability.
func (e exceeding) exceededBy(probability float64, below bool) float64 {
	values, weight := slices.Clone(e.value), slices.Clone(e.weight)
	stat.SortWeighted(values, weight)
	if !below {
		probability = 1 - probability
	}
	return stat.Quantile(probability, stat.Empirical, values, weight)
}

// piece is a part of the rows of a stratum that is evaluated in one go.
type piece struct {
	purpose                     string
	stratum, block, first, rows int
	skip                        int // of its rows, which are known
}

const pieceRows = 512

// piecesOf cuts the rows of each stratum, of so many those from the given one on, into pieces of a size.
func piecesOf(purpose string, from, rows []int64, size int) (list []piece) {
	for h, n := range rows {
		if n <= from[h] {
			continue // another look drew more of it
		}
		for first := int(from[h]) / size * size; first < int(n); first += size {
			list = append(list, piece{fmt.Sprint(purpose, "/", h), h, first / size, first, min(size, int(n)-first), max(0, int(from[h])-first)})
		}
	}
	return list
}

// see draws and evaluates rows of each stratum for a purpose, of so many those from the given one
// on, in designs of which the first has the sample's variables, and returns those that exceed q.
func (s *sample) see(ctx context.Context, designs []sim.Scenario, purpose string, from, rows []int64, q sim.Requirement, unknown []int) (seen, error) {
	pieces := piecesOf(purpose, from, rows, pieceRows)
	had := make([]int, len(rows))
	for h := range rows {
		had[h] = int(s.rows[h] - from[h])
	}
	var outputs []int
	for _, d := range designs {
		outputs = append(outputs, outputAt(d.Model, q.Output))
	}
	parts := make([]seen, len(pieces))
	err := batch.EachWith(ctx, s.Workers, len(pieces), evaluators(designs, pieceRows), func(e *evaluator, i int) error {
		p := pieces[i]
		lead := s.scores(p, e)
		parts[i] = make(seen, len(designs))
		for d := range designs {
			e.values(d, p.skip, p.rows)
			for r, value := range e.evaluate(d, p.skip, p.rows)[outputs[d]] {
				if r += p.skip; q.Exceeded(value) {
					parts[i][d].add(p.stratum, had[p.stratum]+p.first+r, value, place(make([]float64, len(unknown)), lead, unknown, r))
				}
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for h, n := range rows {
		more := max(0, n-from[h])
		s.rows[h] += more
		s.done += more
	}
	all := make(seen, len(designs))
	for _, part := range parts {
		for d, e := range part {
			all[d].join(e)
		}
	}
	return all, nil
}

// evaluator holds the columns of designs that are evaluated on the same rows.
type evaluator struct {
	designs []sim.Scenario
	common  *sim.Common
	z, x, y [][][]float64 // by design; variables of one name have one column of scores
	own     [][]int       // by design: the variables that no earlier one has
	along   []float64
}

// evaluators makes them, for so many rows.
func evaluators(designs []sim.Scenario, rows int) func() *evaluator {
	common := sim.NewCommon(designs)
	return func() *evaluator {
		e := &evaluator{designs: designs, common: common, x: common.Columns(rows), own: make([][]int, len(designs)), along: make([]float64, rows)}
		scores := map[string][]float64{}
		for d, design := range designs {
			var z [][]float64
			for i, v := range design.Inputs.Variables() {
				if scores[v.Name] == nil {
					scores[v.Name], e.own[d] = make([]float64, rows), append(e.own[d], i)
				}
				z = append(z, scores[v.Name])
			}
			e.z, e.y = append(e.z, z), append(e.y, batch.Columns(len(design.Model.Outputs()), rows))
		}
		return e
	}
}

// draw draws independent scores of a piece.
func (e *evaluator) draw(seed uint64, p piece) {
	for d, design := range e.designs {
		independents(seed, p, design.Inputs.Variables(), e.own[d], e.z[d])
	}
}

// values works out those of rows low to high of a design, after those of the designs before it.
func (e *evaluator) values(d, low, high int) {
	e.common.FromNormal(d, batch.Rows(e.z[d], low, high), batch.Rows(e.x[d], low, high))
}

// evaluate returns the outputs of rows of a design whose values are worked out.
func (e *evaluator) evaluate(d, low, high int) [][]float64 {
	y := batch.Rows(e.y[d], low, high)
	e.designs[d].Model.Evaluate(batch.Rows(e.x[d], low, high), y)
	return y
}

// count says how many of the first rows exceed q in the design alone, in another alone, and in both.
func (e *evaluator) count(q sim.Requirement, rows int) (n sim.PairedExceedance, err error) {
	var y [][]float64
	for d, design := range e.designs {
		e.values(d, 0, rows)
		column, err := outputOf(design, q, e.evaluate(d, 0, rows))
		if err != nil {
			return n, err
		}
		y = append(y, column)
	}
	for r, value := range y[0] {
		switch first, other := q.Exceeded(value), len(y) > 1 && q.Exceeded(y[1][r]); {
		case first && other:
			n.Both++
		case first:
			n.OnlyFirst++
		case other:
			n.OnlyOther++
		}
	}
	return n, nil
}

// outputOf is the output of a design that a requirement is about, none of it NaN.
func outputOf(design sim.Scenario, q sim.Requirement, y [][]float64) ([]float64, error) {
	column := y[outputAt(design.Model, q.Output)]
	if floats.HasNaN(column) {
		return nil, fmt.Errorf("scenario %q: output %q is NaN", design.Name, q.Output)
	}
	return column, nil
}

// scores draws those of a piece, moved along the direction into its stratum, and returns the leading design's.
func (s *sample) scores(p piece, e *evaluator) [][]float64 {
	e.draw(s.Seed, p)
	stream := sim.NewStream(s.Seed, p.purpose, uint64(p.block), along)
	t := e.along[:p.rows]
	stream.Fill(t)
	s.strata[p.stratum].scores(t)
	s.direction.move(e.z[0], t)
	s.cells.moveScores(s.strata[p.stratum].cell, e.z[0], p.rows)
	return e.z[0]
}

// sameVariables reports whether both have variables of the same names in the same order.
func sameVariables(a, b *sim.Inputs) bool {
	return slices.EqualFunc(a.Variables(), b.Variables(), func(a, b sim.Variable) bool { return a.Name == b.Name })
}

// variableAt is the position of a variable among the inputs, or -1.
func variableAt(inputs *sim.Inputs, name string) int {
	return slices.IndexFunc(inputs.Variables(), func(v sim.Variable) bool { return v.Name == name })
}
