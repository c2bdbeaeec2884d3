package sim

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
