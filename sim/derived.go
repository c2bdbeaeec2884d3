package sim

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Regrouped returns the plan with groups of rowsPerGroup >= 1 rows, all else the
// same. With 1, every row is a card of a chassis of its own: the distribution of
// single rows is unchanged, and rows are independent.
func (p *Plan) Regrouped(rowsPerGroup int) (*Plan, error) {
	if rowsPerGroup < 1 {
		return nil, fmt.Errorf("rows per group: %d, must be at least 1", rowsPerGroup)
	}
	other := *p
	other.rowsPerGroup = rowsPerGroup
	return &other, nil
}

// NormalCorrelation returns the correlation matrix of the variables' normal
// scores, in the order of Variables: 1 on the diagonal, 0 between independent
// variables. It panics for a plan without variables.
func (p *Plan) NormalCorrelation() *mat.SymDense {
	m := mat.NewSymDense(len(p.variables), nil)
	for i := range p.variables {
		m.SetSym(i, i, 1)
	}
	for _, b := range p.correlated {
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
// variables u: the normal scores are L u, in the order of Variables. It panics for a
// plan without variables.
func (p *Plan) NormalFactor() *mat.Dense {
	m := mat.NewDense(len(p.variables), len(p.variables), nil)
	for _, i := range p.independent {
		m.Set(i, i, 1)
	}
	for _, b := range p.correlated {
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
func (p *Plan) CorrelatedSets() [][]int {
	var sets [][]int
	for _, b := range p.correlated {
		sets = append(sets, slices.Clone(b.index))
	}
	return sets
}
