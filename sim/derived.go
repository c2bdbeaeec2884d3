package sim

import (
	"slices"

	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
)

// Single returns the inputs with every row a card of a chassis of its own, all else the
// same: the distribution of single rows is unchanged, and rows are independent.
func (in *Inputs) Single() *Inputs {
	other := *in
	other.rowsPerGroup = 1
	return &other
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

// Part returns inputs that turn some variables, by position, and those that are correlated with them: Transform and
// FromNormal leave other columns alone.
func (in *Inputs) Part(variables []int) *Inputs {
	part := *in
	of := func(i int) bool { return slices.Contains(variables, i) }
	part.independent = slices.DeleteFunc(slices.Clone(in.independent), func(i int) bool { return !of(i) })
	part.correlated = slices.DeleteFunc(slices.Clone(in.correlated), func(b correlatedBlock) bool { return !slices.ContainsFunc(b.index, of) })
	return &part
}

// Common are the inputs of scenarios that are evaluated on the same draws: values that an earlier scenario has
// worked out are not worked out again. It is immutable and safe for concurrent use.
type Common struct {
	scenarios []Scenario
	cube      cube
	origins   [][]origin // by scenario and variable
	own       [][]int    // by scenario: the independent variables that no earlier one has worked out
}

// NewCommon finds what the scenarios, of as many rows in a group, have in common.
func NewCommon(scenarios []Scenario) *Common {
	c := &Common{scenarios: scenarios, cube: newCube(scenarios)}
	c.origins = c.cube.origins(scenarios)
	for s, scenario := range scenarios {
		var own []int
		for _, i := range scenario.Inputs.independent {
			if c.origins[s][i].scenario == s {
				own = append(own, i)
			}
		}
		c.own = append(c.own, own)
	}
	return c
}

// Columns makes columns for the values of each scenario's variables. Those that two scenarios share are the same.
func (c *Common) Columns(rows int) (x [][][]float64) {
	for s := range c.scenarios {
		var columns [][]float64
		for _, from := range c.origins[s] {
			if from.scenario < s {
				columns = append(columns, x[from.scenario][from.variable])
			} else {
				columns = append(columns, make([]float64, rows))
			}
		}
		x = append(x, columns)
	}
	return x
}

// FromNormal is Inputs.FromNormal of scenario s, on the same normal scores as those of the scenarios before it, which
// come first. x are its columns.
func (c *Common) FromNormal(s int, z, x [][]float64) {
	c.scenarios[s].Inputs.fromNormal(z, x, c.own[s])
}
