package drivers_test

import (
	"context"
	"fmt"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/drivers"
	"clampodds/sim/rare"
	"clampodds/sim/tail"
)

// A model of one's own, the rise of an edge as load times resistance: how often it exceeds
// a limit, by counting and by the tail methods, and what makes its spread.
func Example() {
	load, resistance := dist.Must(dist.NewNormal(90, 3)), dist.Must(dist.NewLognormal(0.35, 0.1))
	inputs := dist.Must(sim.NewInputs([]sim.Variable{{Name: "load", Level: sim.Card, Dist: load}, {Name: "resistance", Level: sim.Card, Dist: resistance}}, nil, 1))
	limit := sim.Requirement{Name: "rise", Output: "rise", Limit: 42, Target: 0.01}
	model := sim.Formula{Output: sim.Output{Name: "rise", Unit: "K", Bin: 1e-3}, Of: func(x []float64) float64 { return x[0] * x[1] }}
	one := sim.Scenario{Name: "edge", Inputs: inputs, Model: model, Requirements: []sim.Requirement{limit}}
	counted := dist.Must((&sim.Run{Scenarios: []sim.Scenario{one}, Sampler: sim.Random{}, Samples: 100_000, Confidence: 0.95}).Execute(context.Background()))
	found := dist.Must(rare.Estimate(dist.Must(tail.NewState(one, limit)).Problem(), rare.Options{Stream: tail.Stream(1, "rise"), Evaluations: 10_000, RelativeError: 0.1, Level: 0.95}))
	spread := dist.Must(dist.Must(drivers.New(one, drivers.Options{Output: "rise", Rows: 2000, Level: 0.95})).Spread())
	fmt.Println(counted.Scenarios[0].Requirements[0].Verdict(), found.Judge(limit.Target), found.Evidence)
	fmt.Printf("counted %.1g, by the tail %.1g; the resistance makes %.0f %% of the spread\n", counted.Scenarios[0].Requirements[0].Exceeded.PerRow().Value, found.Probability.Value, 100*spread.Shares[0].Total.Mean)
	// Output:
	// met met established
	// counted 0.003, by the tail 0.003; the resistance makes 89 % of the spread
}
