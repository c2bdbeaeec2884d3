package sim

import (
	"reflect"
	"slices"
)

// origin is the scenario and its variable whose column of values another takes over:
// where scenarios have a variable with the same points and the same distribution, the
// first of them works out its values for all.
type origin struct{ scenario, variable int }

// origins returns the origin of every variable of every scenario. Correlated variables
// are their own: their values follow from others' points too.
func (c *cube) origins(scenarios []Scenario) [][]origin {
	first := map[int][]origin{} // by column of the cube
	var all [][]origin
	for s, scenario := range scenarios {
		variables := scenario.Inputs.variables
		from := make([]origin, len(variables))
		for i := range from {
			from[i] = origin{s, i}
		}
		for _, i := range scenario.Inputs.independent {
			column := c.of[s][i]
			known := slices.IndexFunc(first[column], func(o origin) bool {
				return reflect.DeepEqual(scenarios[o.scenario].Inputs.variables[o.variable].Dist, variables[i].Dist)
			})
			if known >= 0 {
				from[i] = first[column][known]
			} else {
				first[column] = append(first[column], from[i])
			}
		}
		all = append(all, from)
	}
	return all
}
