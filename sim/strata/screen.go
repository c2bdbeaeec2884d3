package strata

import (
	"context"
	"fmt"

	"gonum.org/v1/gonum/floats"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// Screen is a plain sample of single rows of a scenario: which of them exceed each of its
// requirements. What looks closer at one of these starts from it: its first rows show the
// direction in which the output rises, the others count in strata across any direction,
// since their scores can be drawn again.
type Screen struct {
	scenario sim.Scenario // of single rows
	seed     uint64
	rows     int
	pilot    int         // the number of rows that show a direction
	outputs  [][]float64 // by requirement and row
}

// NewScreen evaluates so many rows. Scenarios share the draws of variables that they share,
// by name. Errors: sim.ErrNoRandomInput, an output that there is not, one that is NaN, the
// context's.
func NewScreen(ctx context.Context, scenario sim.Scenario, rows int64, seed uint64, workers int) (*Screen, error) {
	if len(scenario.Plan.Variables()) == 0 {
		return nil, sim.ErrNoRandomInput
	}
	single, err := scenario.Plan.Regrouped(1)
	if err != nil {
		return nil, err
	}
	s := &Screen{scenario: scenario, seed: seed, pilot: pilotRows(single)}
	s.scenario.Plan, s.rows = single, max(int(rows), 2*s.pilot)
	outputs := make([]int, len(scenario.Requirements))
	for k, q := range scenario.Requirements {
		if outputs[k] = outputAt(scenario.Model, q.Output); outputs[k] < 0 {
			return nil, fmt.Errorf("requirement %q: no output %q", q.Name, q.Output)
		}
		s.outputs = append(s.outputs, make([]float64, s.rows))
	}
	pieces := s.pieces()
	return s, batch.EachWith(ctx, workers, len(pieces), func() *evaluator { return newEvaluator(s.scenario) }, func(e *evaluator, i int) error {
		p := pieces[i]
		for v, variable := range single.Variables() {
			independent(s.seed, p, variable.Name, e.z[v])
		}
		y := e.evaluate(0, p.rows)
		for k, q := range scenario.Requirements {
			if floats.HasNaN(y[outputs[k]]) {
				return fmt.Errorf("scenario %q: output %q is NaN", scenario.Name, q.Output)
			}
			copy(s.outputs[k][p.first:], y[outputs[k]])
		}
		return nil
	})
}

// Rows is the number of rows, as many as asked or a few more.
func (s *Screen) Rows() int64 { return int64(s.rows) }

// Exceeds says of each row whether it exceeds requirement k of the scenario.
func (s *Screen) Exceeds(k int) []bool {
	exceeds := make([]bool, s.rows)
	for r, y := range s.outputs[k] {
		exceeds[r] = s.scenario.Requirements[k].Exceeded(y)
	}
	return exceeds
}

// pieces are the parts that are drawn and evaluated in one go.
func (s *Screen) pieces() (all []piece) {
	for first := 0; first < s.rows; first += pieceRows {
		all = append(all, piece{purpose: "strata/screen", block: first / pieceRows, first: first, rows: min(pieceRows, s.rows-first)})
	}
	return all
}

// first has the scores and the output of requirement k in the first rows.
func (s *Screen) first(k int) (z [][]float64, y []float64) {
	variables := s.scenario.Plan.Variables()
	y = append(y, s.outputs[k][:s.pilot]...)
	z = batch.Columns(len(variables), len(y))
	for _, p := range s.pieces() {
		if p.first >= len(y) {
			break
		}
		p.rows = min(p.rows, len(y)-p.first)
		for v := range z {
			independent(s.seed, p, variables[v].Name, z[v][p.first:])
		}
	}
	return z, y
}

// across puts the rows after the first into the strata across a direction, each with its
// output of requirement k and the scores of the unknown inputs, and counts them.
func (s *Screen) across(d direction, strata []stratum, k int, unknown []int) (rows []int64, all exceeding) {
	rows = make([]int64, len(strata))
	variables := s.scenario.Plan.Variables()
	z := batch.Columns(len(variables), pieceRows)
	for _, p := range s.pieces() {
		for _, v := range d.variable {
			independent(s.seed, p, variables[v].Name, z[v])
		}
		for r := max(0, s.pilot-p.first); r < p.rows; r++ {
			h := stratumOf(strata, d.along(z, r))
			all.add(h, int(rows[h]), s.outputs[k][p.first+r], place(z, unknown, r))
			rows[h]++
		}
	}
	return rows, all
}

func stratumOf(strata []stratum, t float64) int {
	h := 0
	for t > strata[h].high {
		h++
	}
	return h
}

func place(z [][]float64, of []int, r int) []float64 {
	p := make([]float64, len(of))
	for j, v := range of {
		p[j] = z[v][r]
	}
	return p
}

// independent draws the normal scores of a variable for a piece.
func independent(seed uint64, p piece, name string, z []float64) {
	stream := sim.NewStream(seed, p.purpose, uint64(p.block), name)
	normal(&stream, z[:p.rows])
}

// normal sets z to the next normal scores of a stream.
func normal(stream *sim.Stream, z []float64) {
	stream.Fill(z)
	dist.NormalQuantiles(z, z)
}
