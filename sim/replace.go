package sim

import (
	"slices"

	"clampodds/dist"
)

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
