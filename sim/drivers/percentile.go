package drivers

import (
	"context"
	"math"
	"slices"

	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/interval"
	"clampodds/sim/result"
)

// sections are the independent Latin hypercubes that the move of a percentile
// comes from.
const sections = 10

// Percentiles says how a percentile moves.
type Percentiles struct {
	Probability float64
	// Before is the percentile as things are, of all rows.
	Before float64
	// Moved[k][c] is the difference after less before, in the unit of the output, of input k and change c of
	// Changes. The interval is not finite where some section has no percentile.
	Moved       [][]result.Effect
	Evaluations int64
}

// Percentiles finds how the p-quantile of the output moves with every change of
// every input, 0 < p < 1, over rows with a finite value. The same ten Latin
// hypercubes serve all: a move is the mean of their ten differences, with Student's
// t interval. Of so few rows each the quantile is biased, of the difference hardly.
func (a *Analysis) Percentiles(p float64) (Percentiles, error) {
	inputs, names := a.scenario.Inputs, a.names()
	per := a.Rows / sections
	u := batch.Columns(len(names), per*sections)
	for s := range sections {
		part := make([][]float64, len(u))
		for i := range u {
			part[i] = u[i][s*per : (s+1)*per]
		}
		a.cube(part, names, s)
	}
	x, before := batch.Columns(len(u), per*sections), make([]float64, per*sections)
	inputs.Transform(u, x)
	a.newEvaluator().output(x, before)
	r := Percentiles{Probability: p, Before: quantile(before, p), Evaluations: int64(len(before)), Moved: make([][]result.Effect, len(a.inputs))}
	evaluated := make([]int, len(a.inputs))
	err := batch.EachWith(context.Background(), a.Workers, len(a.inputs), a.newEvaluator, func(e *evaluator, k int) (err error) {
		r.Moved[k], evaluated[k], err = e.moves(a.inputs[k], u, x, before, p)
		return err
	})
	if err != nil {
		return Percentiles{}, err
	}
	for _, rows := range evaluated {
		r.Evaluations += int64(rows)
	}
	return r, nil
}

// moves are those of every change of an input.
func (e *evaluator) moves(in Input, u, x [][]float64, before []float64, p float64) (moves []result.Effect, evaluated int, err error) {
	after := make([]float64, len(before))
	coordinates := func(i int, to []float64) { copy(to, u[i]) }
	for _, c := range Changes() {
		moved, err := e.after(in, c, x, coordinates, (*sim.Inputs).Transform)
		if err != nil {
			return nil, 0, err
		}
		rows, ok := e.upper(in, x, moved, before, after, p)
		if !ok {
			e.output(moved, after)
			rows += len(after)
		}
		moves, evaluated = append(moves, e.compare(before, after, p)), evaluated+rows
	}
	return moves, evaluated, nil
}

// compare finds how the quantile moves, section by section.
func (a *Analysis) compare(before, after []float64, p float64) result.Effect {
	per := len(before) / sections
	differences := make([]float64, sections)
	for s := range differences {
		part := func(y []float64) []float64 { return y[s*per : (s+1)*per] }
		differences[s] = quantile(part(after), p) - quantile(part(before), p)
	}
	move := interval.Replicates(differences, a.Level)
	return result.Effect{Value: move.Mean, Interval: move.Interval, Indistinguishable: move.Contains(0)}
}

// quantile interpolates between the order statistics of the finite values at
// rank p(n-1) (definition 7 of Hyndman & Fan, Amer. Statist. 50 (1996) 361); NaN
// without any.
func quantile(y []float64, p float64) float64 {
	below, between := around(y, p)
	return below + between
}

// around is the order statistic at or below the rank, and how far beyond it the quantile lies.
func around(y []float64, p float64) (below, between float64) {
	sorted := slices.DeleteFunc(slices.Clone(y), func(v float64) bool { return !finite(v) })
	if len(sorted) == 0 {
		return math.NaN(), 0
	}
	slices.Sort(sorted)
	at := p * float64(len(sorted)-1)
	rank := int(at)
	return sorted[rank], (at - float64(rank)) * (sorted[min(rank+1, len(sorted)-1)] - sorted[rank])
}
