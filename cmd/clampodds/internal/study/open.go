package study

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"clampodds/dist"
	"clampodds/dist/fit"
	"clampodds/joint/card"
	"clampodds/sim"
)

// leftOpen is what few readings leave open of an input: its mean and its spread
// become inputs of their own, the same unknown numbers for all cards.
type leftOpen struct {
	fit.Open
	averaged dist.Distribution // over mean and spread
	readings int
}

// The keys of what is left open, behind that of the input.
const (
	openMean   = ".mean_left_open"
	openSpread = ".spread_left_open"
)

// leftOpen returns the inputs that stand for what the readings leave open; none
// where the input does not rest on few readings.
func (in *Input) leftOpen() []Input {
	if in.open == nil {
		return nil
	}
	mean, err := in.open.Mean()
	if err != nil {
		panic("study: " + err.Error()) // the number of readings was checked
	}
	spread, err := in.open.Spread()
	if err != nil {
		panic("study: " + err.Error())
	}
	part := func(key, meaning, typed string, nominal float64, d dist.Distribution) Input {
		return Input{
			Key: in.Key + key, Origin: in.Origin, File: in.File, Line: in.Line, Source: in.Source,
			Parameter: card.Parameter{
				Key: in.Key + key, Unit: "1", Low: math.Inf(-1), High: math.Inf(1),
				Meaning: meaning + ": left open by the readings",
			},
			Typed: typed, Nominal: nominal, Dist: d, Level: sim.Design, Knowledge: true,
		}
	}
	return []Input{
		part(openMean, "true mean of "+in.Key+" less that read, in standard deviations", fmt.Sprintf("normal, sd 1/√%d", in.open.readings), 0, mean),
		part(openSpread, "true standard deviation of "+in.Key+" over that read", fmt.Sprintf("√(%d/χ²)", in.open.readings-1), 1, spread),
	}
}

// Averaged is the distribution of one draw, whatever is left open averaged over.
func (in *Input) Averaged() dist.Distribution {
	if in.open == nil {
		return in.Dist
	}
	return in.open.averaged
}

// Averaged is the study with what few readings leave open averaged over, draw by
// draw, in place of inputs of their own.
func (s *Study) Averaged() *Study {
	derived := *s
	derived.Inputs = nil
	open := map[string]bool{}
	for _, in := range s.Inputs {
		if in.open != nil {
			open[in.Key+openMean], open[in.Key+openSpread] = true, true
			in.Dist, in.open = in.open.averaged, nil
		}
		derived.Inputs = append(derived.Inputs, in)
	}
	derived.Inputs = slices.DeleteFunc(derived.Inputs, func(in Input) bool { return open[in.Key] })
	return &derived
}

// move multiplies the distribution by factor >= 0 and adds shift.
func (in *Input) move(factor, shift float64) error {
	moved := func(d dist.Distribution) (dist.Distribution, error) {
		d, err := dist.Multiplied(d, factor)
		if err != nil {
			return nil, err
		}
		return dist.Shifted(d, shift)
	}
	d, err := moved(in.Dist)
	if err != nil {
		return err
	}
	in.Dist = d
	if factor == 0 {
		in.open = nil
	}
	if in.open != nil {
		open := *in.open
		if open.averaged, err = moved(open.averaged); err != nil {
			return err
		}
		open.Open, in.open = open.Moved(factor, shift), &open
	}
	return nil
}

// Model is the model of a study's cards. Its columns are the study's variables.
type Model struct {
	*card.Model
	open    []openColumn
	scratch sync.Pool // of *openScratch
}

// openColumn is a column whose values depend on what is left open, with the columns
// of that.
type openColumn struct {
	fit.Open
	column, mean, spread int
}

// openColumns finds them among the variables.
func (s *Study) openColumns(variables []sim.Variable) (list []openColumn) {
	column := func(name string) int {
		return slices.IndexFunc(variables, func(v sim.Variable) bool { return v.Name == name })
	}
	for i, v := range variables {
		open := s.Input(v.Input).open
		mean, spread := column(v.Input+openMean), column(v.Input+openSpread)
		if open != nil && mean >= 0 && spread >= 0 {
			list = append(list, openColumn{open.Open, i, mean, spread})
		}
	}
	return list
}

// Evaluate is that of card.Model on the values as they are under what is left open.
func (m *Model) Evaluate(x, y [][]float64) {
	if len(m.open) == 0 {
		m.Model.Evaluate(x, y)
		return
	}
	s := m.scratch.Get().(*openScratch)
	defer m.scratch.Put(s)
	m.Model.Evaluate(m.given(x, s), y)
}

// Values are the values of the columns x as the cards have them: those that depend
// on what is left open under it. x is not changed.
func (m *Model) Values(x [][]float64) [][]float64 {
	if len(m.open) == 0 {
		return x
	}
	return m.given(x, new(openScratch))
}

// openScratch holds columns from one block to the next.
type openScratch struct {
	columns [][]float64
	own     [][]float64
}

// given replaces the columns that depend on what is left open.
func (m *Model) given(x [][]float64, s *openScratch) [][]float64 {
	s.columns = append(s.columns[:0], x...)
	for i, o := range m.open {
		if i == len(s.own) {
			s.own = append(s.own, nil)
		}
		s.own[i] = slices.Grow(s.own[i][:0], len(x[o.column]))[:len(x[o.column])]
		for r, value := range x[o.column] {
			s.own[i][r] = o.Given(value, x[o.mean][r], x[o.spread][r])
		}
		s.columns[o.column] = s.own[i]
	}
	return s.columns
}
