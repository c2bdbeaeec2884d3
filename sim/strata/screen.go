package strata

import (
	"context"
	"fmt"
	"slices"
	"sync"

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
	pilot    int                // the number of rows that show a direction
	shows    func() *regression // of those rows, for all screens of such variables
	outputs  [][]float64        // by requirement and row
}

// NewScreens evaluates so many rows of each scenario. Scenarios share the draws of variables that they share, by
// name, and what follows from those: each screen is what it would be alone. Errors: sim.ErrNoRandomInput, an output that
// there is not, one that is NaN, the context's.
func NewScreens(ctx context.Context, scenarios []sim.Scenario, rows []int64, seed uint64, workers int) (screens []*Screen, err error) {
	for _, scenario := range scenarios {
		s, err := newScreen(scenario, seed)
		if err != nil {
			return nil, err
		}
		alike := func(other *Screen) bool { return sameVariables(other.scenario.Inputs, s.scenario.Inputs) }
		if at := slices.IndexFunc(screens, alike); at >= 0 {
			s.shows = screens[at].shows
		}
		screens = append(screens, s)
	}
	return screens, Extend(ctx, screens, rows, workers)
}

// newScreen has no rows.
func newScreen(scenario sim.Scenario, seed uint64) (*Screen, error) {
	if len(scenario.Inputs.Variables()) == 0 {
		return nil, sim.ErrNoRandomInput
	}
	single := scenario.Inputs.Single()
	s := &Screen{scenario: scenario, seed: seed, pilot: pilotRows(single), outputs: make([][]float64, len(scenario.Requirements))}
	s.scenario.Inputs, s.shows = single, firstRows(single, seed)
	for _, q := range scenario.Requirements {
		if outputAt(scenario.Model, q.Output) < 0 {
			return nil, fmt.Errorf("requirement %q: no output %q", q.Name, q.Output)
		}
	}
	return s, nil
}

// Extend evaluates what is missing of so many rows of each of some screens that were made together: they are then
// those of NewScreens with as many. They are not to be used after an error.
func Extend(ctx context.Context, screens []*Screen, rows []int64, workers int) error {
	var scenarios []sim.Scenario
	var had []int
	all := Screen{} // the longest
	for i, s := range screens {
		scenarios, had = append(scenarios, s.scenario), append(had, s.rows)
		s.grow(int(rows[i]))
		all.rows = max(all.rows, s.rows)
	}
	pieces := all.pieces()[slices.Min(had)/pieceRows:]
	return batch.EachWith(ctx, workers, len(pieces), evaluators(scenarios, pieceRows), func(e *evaluator, i int) error {
		p := pieces[i]
		e.draw(screens[0].seed, p)
		for d, s := range screens {
			e.values(d, 0, p.rows)
			low, high := max(0, had[d]-p.first), min(p.rows, s.rows-p.first)
			if low >= high {
				continue
			}
			y := e.evaluate(d, low, high)
			for k, q := range s.scenario.Requirements {
				column, err := outputOf(s.scenario, q, y)
				if err != nil {
					return err
				}
				copy(s.outputs[k][p.first+low:], column)
			}
		}
		return nil
	})
}

// grow makes room for so many rows, at least for twice those that show a direction.
func (s *Screen) grow(rows int) {
	s.rows = max(s.rows, rows, 2*s.pilot)
	for k := range s.outputs {
		s.outputs[k] = append(make([]float64, 0, s.rows), s.outputs[k]...)[:s.rows]
	}
}

// First is the screen of so many rows, where there are as many.
func (s *Screen) First(rows int64) *Screen {
	first := *s
	first.rows = min(s.rows, max(int(rows), 2*s.pilot))
	return &first
}

// Exceeds says of each row whether it exceeds requirement k of the scenario.
func (s *Screen) Exceeds(k int) []bool {
	return s.scenario.Requirements[k].ExceededBy(s.outputs[k][:s.rows])
}

// Forget drops what requirement k of the scenario asks of: nothing looks closer at it, or reads it again.
func (s *Screen) Forget(k int) { s.outputs[k] = nil }

// Output has what requirement k of the scenario asks of, row by row. It must not be changed.
func (s *Screen) Output(k int) []float64 { return s.outputs[k][:s.rows] }

// Same says that requirement k of another screen's scenario asks the same of the same numbers in every row, those of the same
// draws: what looks closer at it would find the same.
func (s *Screen) Same(other *Screen, k int) bool {
	return s.scenario.Requirements[k] == other.scenario.Requirements[k] && len(s.outputs[k]) > 0 && slices.Equal(s.outputs[k], other.outputs[k]) &&
		sameVariables(s.scenario.Inputs, other.scenario.Inputs)
}

// pieces are the parts that are drawn and evaluated in one go.
func (s *Screen) pieces() (all []piece) {
	for first := 0; first < s.rows; first += pieceRows {
		all = append(all, piece{purpose: "strata/screen", block: first / pieceRows, first: first, rows: min(pieceRows, s.rows-first)})
	}
	return all
}

// only is the screen of requirement k alone, with the variables that its output needs.
func (s *Screen) only(k int) *Screen {
	one := *s
	one.scenario = s.scenario.Only(s.scenario.Requirements[k].Output)
	one.scenario.Requirements, one.outputs = s.scenario.Requirements[k:k+1], s.outputs[k:k+1]
	one.pilot = pilotRows(one.scenario.Inputs)
	if !sameVariables(one.scenario.Inputs, s.scenario.Inputs) {
		one.shows = firstRows(one.scenario.Inputs, s.seed)
	}
	return &one
}

// first has the scores and the output of the one requirement in the first rows.
func (s *Screen) first() (on *regression, y []float64) {
	return s.shows(), slices.Clone(s.outputs[0][:s.pilot])
}

// firstRows draws the scores of the rows that show a direction, when they are asked for.
func firstRows(inputs *sim.Inputs, seed uint64) func() *regression {
	return sync.OnceValue(func() *regression {
		first := Screen{rows: pilotRows(inputs)}
		on, z := newRegression(len(inputs.Variables()), first.rows)
		for _, p := range first.pieces() {
			independents(seed, p, inputs.Variables(), positions(z), batch.Rows(z, p.first, p.first+p.rows))
		}
		return on
	})
}

// across puts the rows after the first into the strata across a direction, each with its
// output of the one requirement, and counts them. Those that are of use get their places by placed.
func (s *Screen) across(d direction, c cells, strata []stratum) (rows []int64, all exceeding) {
	rows = make([]int64, len(strata))
	of := slices.Concat(d.variable, c.variable)
	z := s.columns(of)
	all.grow(s.rows - s.pilot)
	all.row = make([]int, 0, s.rows-s.pilot)
	for _, p := range s.pieces() {
		s.scores(p, of, z)
		for r := max(0, s.pilot-p.first); r < p.rows; r++ {
			h := stratumOf(strata, c.of(z, r), d.along(z, r))
			all.add(h, int(rows[h]), s.outputs[0][p.first+r], nil)
			all.row = append(all.row, p.first+r)
			rows[h]++
		}
	}
	return rows, all
}

// placed draws the scores of the unknown inputs in some of the rows of across, in their order there.
func (s *Screen) placed(e exceeding, unknown []int) exceeding {
	z := s.columns(unknown)
	e.places = batch.Columns(len(e.row), len(unknown))
	for i := 0; i < len(e.row); {
		p := s.pieces()[e.row[i]/pieceRows]
		last := i
		for last+1 < len(e.row) && e.row[last+1] < p.first+p.rows {
			last++
		}
		p.rows = e.row[last] - p.first + 1
		s.scores(p, unknown, z)
		for ; i <= last; i++ {
			place(e.places[i], z, unknown, e.row[i]-p.first)
		}
	}
	return e
}

// columns are for the scores of some variables in a piece, by position.
func (s *Screen) columns(of []int) [][]float64 {
	z := make([][]float64, len(s.scenario.Inputs.Variables()))
	for _, v := range of {
		z[v] = make([]float64, pieceRows)
	}
	return z
}

// scores draws those of some variables in a piece, each once.
func (s *Screen) scores(p piece, of []int, z [][]float64) {
	independents(s.seed, p, s.scenario.Inputs.Variables(), of, z)
}

func stratumOf(strata []stratum, cell int, t float64) int {
	h := 0
	for strata[h].cell != cell || t > strata[h].high {
		h++
	}
	return h
}

// place sets p to the scores of some variables in a row.
func place(p []float64, z [][]float64, of []int, r int) []float64 {
	for j, v := range of {
		p[j] = z[v][r]
	}
	return p
}

// positions are those of all columns.
func positions(z [][]float64) (all []int) {
	for v := range z {
		all = append(all, v)
	}
	return all
}

// independents draws the normal scores of some variables, by position, for a piece.
func independents(seed uint64, p piece, variables []sim.Variable, of []int, z [][]float64) {
	stream := func(v int) sim.Stream { return sim.NewStream(seed, p.purpose, uint64(p.block), variables[v].Name) }
	for ; len(of) > 1; of = of[2:] { // two at once take less time
		first, second := z[of[0]][:p.rows], z[of[1]][:p.rows]
		a, b := stream(of[0]), stream(of[1])
		sim.FillBoth(&a, &b, first, second)
		dist.NormalQuantiles(first, first)
		dist.NormalQuantiles(second, second)
	}
	if len(of) == 1 {
		a := stream(of[0])
		normal(&a, z[of[0]][:p.rows])
	}
}

// normal sets z to the next normal scores of a stream.
func normal(stream *sim.Stream, z []float64) {
	stream.Fill(z)
	dist.NormalQuantiles(z, z)
}
