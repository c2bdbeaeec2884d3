package sim

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
)

// Regrouped returns the inputs with groups of rowsPerGroup >= 1 rows, all else the
// same. With 1, every row is a card of a chassis of its own: the distribution of
// single rows is unchanged, and rows are independent.
func (in *Inputs) Regrouped(rowsPerGroup int) (*Inputs, error) {
	if rowsPerGroup < 1 {
		return nil, fmt.Errorf("rows per group: %d, must be at least 1", rowsPerGroup)
	}
	other := *in
	other.rowsPerGroup = rowsPerGroup
	return &other, nil
}

// NormalCorrelation returns the correlation matrix of the variables' normal
// scores, in the order of Variables: 1 on the diagonal, 0 between independent
// variables. It panics where there are no variables.
func (in *Inputs) NormalCorrelation() *mat.SymDense {
	m := mat.NewSymDense(len(in.variables), nil)
	for i := range in.variables {
		m.SetSym(i, i, 1)
	}
	for _, b := range in.correlated {
		var block mat.SymDense
		block.SymOuterK(1, b.lower)
		for i, a := range b.index {
			for j, c := range b.index[:i] {
				m.SetSym(a, c, block.At(i, j))
			}
		}
	}
	return m
}

// NormalFactor returns the matrix L that correlates independent standard normal
// variables u: the normal scores are L u, in the order of Variables. It panics where
// there are no variables.
func (in *Inputs) NormalFactor() *mat.Dense {
	m := mat.NewDense(len(in.variables), len(in.variables), nil)
	for _, i := range in.independent {
		m.Set(i, i, 1)
	}
	for _, b := range in.correlated {
		for row, i := range b.index {
			for column, j := range b.index[:row+1] {
				m.Set(i, j, b.lower.At(row, column))
			}
		}
	}
	return m
}

// CorrelatedSets lists the sets of variables, by position, that correlations tie
// together; variables in none of them are independent of all others.
func (in *Inputs) CorrelatedSets() [][]int {
	var sets [][]int
	for _, b := range in.correlated {
		sets = append(sets, slices.Clone(b.index))
	}
	return sets
}

// WithDistributions returns inputs with other distributions of the same
// variables: replace gets each variable and returns the distribution it is to
// have, its own for no change. Names, levels and rank correlations stay, and
// with them the random numbers: both turn the same points of the unit cube
// into their values. The error is that of replace; a nil distribution panics.
func (in *Inputs) WithDistributions(replace func(Variable) (dist.Distribution, error)) (*Inputs, error) {
	changed := *in
	changed.variables = slices.Clone(in.variables)
	for i, v := range in.variables {
		d, err := replace(v)
		if err != nil {
			return nil, err
		}
		if d == nil {
			panic("sim: no distribution for variable " + v.Name)
		}
		changed.variables[i].Dist = d
	}
	return &changed, nil
}
