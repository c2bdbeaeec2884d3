package drivers

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/tail"
)

// fewestRows leave every section a hundred.
const fewestRows = 100 * sections

// Options steers an analysis. Every field but Workers must be set.
type Options struct {
	// Output is the output whose spread is asked for.
	Output string
	// Rows is the size of every sample, at least 1000: of each replicated set of
	// Sobol' points together, and of the draws of each what if. Slopes take four
	// times as many.
	Rows int
	Seed uint64
	// Workers is the number of goroutines, 0 for one per processor. Results do not
	// depend on it.
	Workers int
	// Level is the confidence of the intervals, in (0, 1).
	Level float64
}

// Analysis is a scenario under analysis. It is only read after New and safe for
// concurrent use.
type Analysis struct {
	Options
	scenario sim.Scenario // of groups of one row
	output   int
	inputs   []Input
}

// New returns the analysis of single rows of a scenario. sim.ErrNoRandomInput is
// returned as such; other errors name an option outside its range.
func New(scenario sim.Scenario, o Options) (*Analysis, error) {
	scenario = scenario.Only(o.Output)
	output := slices.IndexFunc(scenario.Model.Outputs(), func(out sim.Output) bool { return out.Name == o.Output })
	switch {
	case len(scenario.Inputs.Variables()) == 0:
		return nil, sim.ErrNoRandomInput
	case output < 0:
		return nil, fmt.Errorf("no output %q", o.Output)
	case o.Rows < fewestRows:
		return nil, fmt.Errorf("Options.Rows is %d, must be at least %d", o.Rows, fewestRows)
	case o.Workers < 0:
		return nil, fmt.Errorf("workers: %d, must not be negative", o.Workers)
	case !(o.Level > 0 && o.Level < 1):
		return nil, fmt.Errorf("level: %v, must be above 0 and below 1", o.Level)
	}
	var err error
	if scenario.Inputs, err = scenario.Inputs.Regrouped(1); err != nil {
		return nil, err
	}
	return &Analysis{Options: o, scenario: scenario, output: output, inputs: Inputs(scenario.Inputs)}, nil
}

// Inputs lists the inputs in the order of all results that are not ranked.
func (a *Analysis) Inputs() []Input { return a.inputs }

// evaluate runs the model of inputs on columns of coordinates and fills y with the
// output.
func (a *Analysis) evaluate(inputs *sim.Inputs, turn func(*sim.Inputs, [][]float64, [][]float64), from [][]float64, y []float64) {
	all := batch.Columns(len(a.scenario.Model.Outputs()), len(y))
	all[a.output] = y
	sim.Evaluate(inputs, a.scenario.Model, turn, from, all, a.Workers)
}

// each does a task for each input: there are many, and the rows of each are few.
func (a *Analysis) each(task func(input int) error) error {
	return batch.Each(context.Background(), a.Workers, len(a.inputs), task)
}

// single is the same analysis on one goroutine, for tasks done side by side.
func (a *Analysis) single() *Analysis {
	one := *a
	one.Workers = 1
	return &one
}

// cube fills u with a Latin hypercube.
func (a *Analysis) cube(u [][]float64, names []string, block int) {
	sim.LatinHypercube{}.Fill(u, names, a.Seed, uint64(block))
}

// random returns the generator of a purpose and index.
func (a *Analysis) random(purpose string, index int) *rand.Rand {
	return tail.Stream(a.Seed, "")("drivers/"+purpose, uint64(index))
}

func (a *Analysis) names() []string {
	var names []string
	for _, v := range a.scenario.Inputs.Variables() {
		names = append(names, v.Name)
	}
	return names
}

func finite(x float64) bool { return math.Abs(x) <= math.MaxFloat64 }
