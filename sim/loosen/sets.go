package loosen

import (
	"cmp"
	"fmt"
	"slices"
)

// Set is one combination of steps on offer.
type Set struct {
	// Steps has the step taken of each choice.
	Steps []int
	Cost  float64
}

// Sets lists all combinations of steps, costs[i][k] being that of step k of choice i, by rising
// cost; of equal cost in the order of choices and steps. More than most are an error.
func Sets(costs [][]float64, most int) ([]Set, error) {
	sets := []Set{{}}
	for _, steps := range costs {
		if len(sets)*len(steps) > most {
			return nil, fmt.Errorf("more than %d combinations of steps", most)
		}
		var longer []Set
		for _, set := range sets {
			for i, cost := range steps {
				longer = append(longer, Set{Steps: append(slices.Clip(set.Steps), i), Cost: set.Cost + cost})
			}
		}
		sets = longer
	}
	slices.SortStableFunc(sets, func(a, b Set) int { return cmp.Compare(a.Cost, b.Cost) })
	return sets, nil
}
