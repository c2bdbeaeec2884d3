package decide_test

import (
	"context"
	"fmt"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// rise is a model of one's own: an edge's rise over the wall, load times resistance, and a
// factor on it that is not known.
type rise struct{}

func (rise) Outputs() []sim.Output { return []sim.Output{{Name: "rise", Unit: "K", Bin: 1e-3}} }

func (rise) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = x[0][r] * x[1][r]
	}
}

// A limit judged in two conditions, with what varies and what is not known told apart:
// on average few exceed it, and yet more may, if the factor is as high as it may be.
func ExampleSetup_Mission() {
	member := func(name string, watts float64) decide.Member {
		load, _ := dist.NewNormal(watts, 2)
		factor, _ := dist.NewNormal(0.25, 0.01)
		inputs, _ := sim.NewInputs([]sim.Variable{
			{Name: "load", Input: "load", Level: sim.Card, Dist: load},
			{Name: "factor", Input: "factor", Level: sim.Design, Dist: factor, Knowledge: true},
		}, nil, 1)
		limit := sim.Requirement{Name: "rise", Output: "rise", Limit: 27.5, Target: 0.02}
		return decide.Member{Scenario: sim.Scenario{Name: name, Inputs: inputs, Model: rise{}, Requirements: []sim.Requirement{limit}}}
	}
	setup := decide.Setup{Run: sim.Run{Seed: 1, Confidence: 0.95}}
	mission, err := setup.Mission(context.Background(), []decide.Member{member("cruise", 95), member("taxi", 100)})
	if err != nil {
		panic(err)
	}
	worst := mission.At(mission.Worst)
	fmt.Printf("%s: %s, %.1g of the cards on average, with 95 %% confidence at most %.1g\n",
		mission.Members[mission.Worst.Member].Name, worst.Verdict, worst.Mean.Value, worst.Bound.Value)
	// Output: taxi: undecided, 0.01 of the cards on average, with 95 % confidence at most 0.05
}
