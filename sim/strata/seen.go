package strata

import (
	"context"
	"fmt"
	"slices"

	"clampodds/dist"
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

// piece is a part of the rows of a stratum that is evaluated in one go.
type piece struct {
	purpose                     string
	stratum, block, first, rows int
}

const pieceRows = 512

// see draws and evaluates so many rows of each stratum, in all designs, and keeps
// those that exceed q.
func (s *sample) see(ctx context.Context, purpose string, rows []int64, q sim.Requirement, unknown []int) (seen, error) {
	var pieces []piece
	for h, n := range rows {
		for first := 0; first < int(n); first += pieceRows {
			pieces = append(pieces, piece{fmt.Sprint(purpose, "/", h), h, first / pieceRows, first, min(pieceRows, int(n)-first)})
		}
	}
	designs := s.designs()
	parts := make([]seen, len(pieces))
	err := batch.EachWith(ctx, s.Workers, len(pieces), func() []*evaluator { return evaluators(designs, q) }, func(all []*evaluator, i int) error {
		p := pieces[i]
		lead := s.scores(p, all[0])
		for d, e := range all {
			if d > 0 {
				s.follow(p, e, lead)
			}
			parts[i] = append(parts[i], e.exceeding(p, s.strata[p.stratum].probability/float64(rows[p.stratum]), func(r int) []float64 {
				place := make([]float64, len(unknown))
				for j, v := range unknown {
					place[j] = lead[v][r]
				}
				return place
			}))
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for h, n := range rows {
		s.rows[h] += n
		s.done += n
	}
	all := make(seen, len(designs))
	for _, part := range parts {
		for d, e := range part {
			all[d].places = append(all[d].places, e.places...)
			all[d].weight = append(all[d].weight, e.weight...)
			all[d].value = append(all[d].value, e.value...)
			all[d].stratum = append(all[d].stratum, e.stratum...)
			all[d].group = append(all[d].group, e.group...)
		}
	}
	return all, nil
}

// evaluator holds the columns of one design.
type evaluator struct {
	sim.Scenario
	q       sim.Requirement
	output  int
	z, x, y [][]float64
}

func evaluators(designs []sim.Scenario, q sim.Requirement) (all []*evaluator) {
	for _, d := range designs {
		n, outputs := len(d.Plan.Variables()), d.Model.Outputs()
		all = append(all, &evaluator{
			Scenario: d, q: q, output: slices.IndexFunc(outputs, func(o sim.Output) bool { return o.Name == q.Output }),
			z: batch.Columns(n, pieceRows), x: batch.Columns(n, pieceRows), y: batch.Columns(len(outputs), pieceRows),
		})
	}
	return all
}

// scores draws those of a piece, moved along the direction into its stratum.
func (s *sample) scores(p piece, e *evaluator) [][]float64 {
	for i, v := range e.Plan.Variables() {
		s.independent(p, v.Name, e.z[i])
	}
	stream := sim.NewStream(s.Seed, p.purpose, uint64(p.block), along)
	for r := range p.rows {
		s.direction.move(e.z, r, s.strata[p.stratum].score(stream.Uniform()))
	}
	return e.z
}

// follow gives a design the scores of the leading one by the variables' names, and
// its own for variables that the other does not have.
func (s *sample) follow(p piece, e *evaluator, lead [][]float64) {
	for i, v := range e.Plan.Variables() {
		if at := variableAt(s.plan(), v.Name); at >= 0 {
			copy(e.z[i], lead[at])
		} else {
			s.independent(p, v.Name, e.z[i])
		}
	}
}

func (s *sample) independent(p piece, name string, z []float64) {
	stream := sim.NewStream(s.Seed, p.purpose, uint64(p.block), name)
	for r := range p.rows {
		z[r] = dist.NormalQuantile(stream.Uniform())
	}
}

// exceeding evaluates the rows of a piece and keeps those that exceed.
func (e *evaluator) exceeding(p piece, weight float64, place func(r int) []float64) (kept exceeding) {
	x, y := batch.Rows(e.x, 0, p.rows), batch.Rows(e.y, 0, p.rows)
	e.Plan.FromNormal(batch.Rows(e.z, 0, p.rows), x)
	e.Model.Evaluate(x, y)
	for r, value := range y[e.output] {
		if e.q.Exceeded(value) {
			kept.places, kept.weight = append(kept.places, place(r)), append(kept.weight, weight)
			kept.value = append(kept.value, value)
			kept.stratum, kept.group = append(kept.stratum, p.stratum), append(kept.group, (p.first+r)%rowGroups)
		}
	}
	return kept
}

// variableAt is the position of a variable in a plan, or -1.
func variableAt(plan *sim.Plan, name string) int {
	return slices.IndexFunc(plan.Variables(), func(v sim.Variable) bool { return v.Name == name })
}
