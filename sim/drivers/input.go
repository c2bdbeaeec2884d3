package drivers

import (
	"slices"

	"clampodds/sim"
)

// Input is all instances of one input of a study.
type Input struct {
	Name      string
	Level     sim.Level
	Knowledge bool
	// Columns are its variables in the sim.Inputs.
	Columns []int
	// Set numbers the sets of inputs that correlations tie together, from 1; 0
	// for an input independent of all others.
	Set int
}

// Inputs lists the inputs of a model in the order of their first variables.
// Variables without Input are inputs of their own name.
func Inputs(from *sim.Inputs) []Input {
	var inputs []Input
	of := map[string]int{}
	for i, v := range from.Variables() {
		name := v.Input
		if name == "" {
			name = v.Name
		}
		at, known := of[name]
		if !known {
			at = len(inputs)
			of[name] = at
			inputs = append(inputs, Input{Name: name, Level: v.Level, Knowledge: v.Knowledge})
		}
		inputs[at].Columns = append(inputs[at].Columns, i)
	}
	number(inputs, from.CorrelatedSets())
	return inputs
}

// number joins inputs whose variables share a correlated set.
func number(inputs []Input, sets [][]int) {
	next := 0
	for _, set := range sets {
		next++
		for k := range inputs {
			in := &inputs[k]
			if !slices.ContainsFunc(in.Columns, func(c int) bool { return slices.Contains(set, c) }) {
				continue
			}
			if old := in.Set; old > 0 { // the sets of both edges are one set of inputs
				for j := range inputs {
					if inputs[j].Set == old {
						inputs[j].Set = next
					}
				}
			}
			in.Set = next
		}
	}
}
