package drivers

import (
	"cmp"
	"math/rand/v2"
	"slices"

	"clampodds/sim"
	"clampodds/sim/interval"
	"clampodds/sim/sensitivity"
)

// replicates are the independent repetitions that intervals come from.
const replicates = 16

// Share is the part of the variance that an input makes, or a set of correlated
// inputs together.
type Share struct {
	// Inputs are positions in Analysis.Inputs.
	Inputs []int
	// First is the share that knowing the inputs would remove on average, Total
	// the share that would remain if all others were known.
	First, Total interval.MeanInterval
	// Indistinguishable marks inputs that cannot be told from ones without effect.
	Indistinguishable bool
	// Members are the Shapley effects within a set, in the order of Inputs: what
	// each member makes of the whole variance. The effects of all players sum to 1.
	Members []sensitivity.Effect
}

// Spread says what makes the variance of the output.
type Spread struct {
	// Shares are ranked by Total, largest first.
	Shares []Share
	// Variance is that of the output.
	Variance    interval.MeanInterval
	Evaluations int64
}

// Spread estimates the shares from sixteen replicates. An error is
// *sensitivity.ConstantOutputError or *sensitivity.NotFiniteError.
func (a *Analysis) Spread() (Spread, error) {
	var shares []Share
	var groups []sensitivity.Group
	of := map[int]int{} // share of each set
	for k, in := range a.inputs {
		at, known := of[in.Set]
		if in.Set == 0 || !known {
			at = len(shares)
			of[in.Set] = at
			shares, groups = append(shares, Share{}), append(groups, sensitivity.Group{Name: in.Name})
		}
		shares[at].Inputs = append(shares[at].Inputs, k)
		groups[at].Columns = append(groups[at].Columns, in.Columns...)
	}
	found, err := a.sobol(groups)
	if err != nil {
		return Spread{}, err
	}
	s := Spread{Variance: found.Variance, Evaluations: found.Evaluations}
	for g, index := range found.Indices {
		share := &shares[g]
		share.First, share.Total, share.Indistinguishable = index.First, index.Total, index.Indistinguishable
		if len(share.Inputs) > 1 && !share.Indistinguishable {
			effects, err := a.shapley(share.Inputs)
			if err != nil {
				return Spread{}, err
			}
			share.Members = effects.Effects[:len(share.Inputs)]
			s.Evaluations += effects.Evaluations
		}
	}
	slices.SortStableFunc(shares, func(x, y Share) int { return cmp.Compare(y.Total.Mean, x.Total.Mean) })
	s.Shares = shares
	return s, nil
}

func (a *Analysis) sobol(groups []sensitivity.Group) (sensitivity.SobolResult, error) {
	inputs, names := a.scenario.Inputs, a.names()
	for _, name := range a.names() { // matrix B; no name of a variable has NUL
		names = append(names, name+"\x00B")
	}
	one := a.single()
	f := func(u [][]float64, y []float64) { one.evaluate(inputs, (*sim.Inputs).Transform, u, y) }
	fill := func(u [][]float64, replicate int) { a.cube(u, names, replicate) }
	return sensitivity.Sobol(f, fill, len(inputs.Variables()), groups,
		sensitivity.SobolOptions{Rows: a.Rows / replicates, Replicates: replicates, Level: a.Level, Workers: a.Workers})
}

// shapley are the effects of a set's members, all other inputs being one player.
func (a *Analysis) shapley(members []int) (sensitivity.ShapleyResult, error) {
	inputs := a.scenario.Inputs
	var groups []sensitivity.Group
	others := sensitivity.Group{Name: "all other inputs"}
	for k, in := range a.inputs {
		if slices.Contains(members, k) {
			groups = append(groups, sensitivity.Group{Name: in.Name, Columns: in.Columns})
		} else {
			others.Columns = append(others.Columns, in.Columns...)
		}
	}
	if len(others.Columns) > 0 {
		groups = append(groups, others)
	}
	// The effects are asked with the scores correlated already.
	alone, err := sim.NewInputs(inputs.Variables(), nil, 1)
	if err != nil {
		return sensitivity.ShapleyResult{}, err
	}
	one := a.single()
	f := func(z [][]float64, y []float64) { one.evaluate(alone, (*sim.Inputs).FromNormal, z, y) }
	return sensitivity.Shapley(f, inputs.NormalCorrelation(), groups, sensitivity.ShapleyOptions{
		Permutations: a.Rows / len(groups), Replicates: replicates, Level: a.Level, Workers: a.Workers,
		Random: func(replicate int) *rand.Rand { return a.random("Shapley", replicate) },
	})
}
