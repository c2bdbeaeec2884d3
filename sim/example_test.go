package sim_test

import (
	"context"
	"fmt"

	"clampodds/dist"
	"clampodds/sim"
)

// edge is a model: the temperature of the card edge is that of the plate plus
// heat times resistance.
type edge struct{}

func (edge) Outputs() []sim.Output {
	return []sim.Output{{Name: "edge", Unit: "K", Bin: 1e-4}}
}

func (edge) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = x[0][r] + 30*x[1][r]
	}
}

func Example() {
	plate, _ := dist.NewNormal(333.15, 2)
	resistance, _ := dist.NewLognormal(0.35, 0.2)
	inputs, err := sim.NewInputs([]sim.Variable{
		{Name: "plate", Level: sim.Chassis, Dist: plate},
		{Name: "resistance", Level: sim.Card, Dist: resistance},
	}, nil, 8) // eight cards in a chassis
	if err != nil {
		panic(err)
	}
	run := sim.Run{
		Scenarios: []sim.Scenario{{
			Name: "as built", Inputs: inputs, Model: edge{},
			Requirements: []sim.Requirement{{Name: "edge limit", Output: "edge", Limit: 353.15, Target: 0.01}},
		}},
		Sampler: sim.Random{}, Seed: 1, Samples: 400_000, Confidence: 0.95,
	}
	result, err := run.Execute(context.Background())
	if err != nil {
		panic(err)
	}
	s := result.Scenarios[0]
	p95 := s.Quantities[0].Percentile(0.95)
	fmt.Printf("95 %% of cards below %.2f K (%.2f to %.2f)\n", p95.Value, p95.Low, p95.High)
	card, chassis := s.Requirements[0].Exceeded.PerRow(), s.Requirements[0].Exceeded.PerGroup()
	fmt.Printf("too hot: %.2g of cards (%.2g to %.2g), %.2g of chassis\n", card.Value, card.Low, card.High, chassis.Value)
	fmt.Println(s.Requirements[0].Verdict())
	// Output:
	// 95 % of cards below 348.89 K (348.86 to 348.92)
	// too hot: 0.0025 of cards (0.0023 to 0.0026), 0.019 of chassis
	// met
}
