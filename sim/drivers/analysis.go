// Package drivers says which inputs make the spread of an output and the
// probability of a rare exceedance, and what holding or moving each would bring.
//
// An input is all instances of one entry of a study: both edges, all faces. It has
// one level, so what it drives is that level's.
//
// # The spread
//
// Shares of the variance: Sobol' indices of inputs, and of correlated inputs
// together, because the indices of one of them alone would mean nothing. Within
// such a set, Shapley effects, with all other inputs as one player more.
//
// # What if
//
// For each input, the same draws are turned into values four times more: with
// the input fixed at its mean, with half its spread, and with its mean one standard
// deviation lower and higher. Fixed and halved spreads shrink about the mean, cuts
// included; a moved mean takes the cuts along. One standard deviation is the unit
// of tolerance. Where an input starts at zero or near it (a roughness, a crown) and
// would be moved below, it is scaled to the moved mean instead. All instances
// change together, correlations stay.
//
// The exceedance is compared by importance sampling around the design points,
// before and after the change; percentiles by Latin hypercubes. Both see the same
// draws before and after: the difference is known much better than the two.
//
// # Slopes
//
// The derivatives of the exceedance probability with the mean and the standard
// deviation of an input, by the score function on the draws above. An input whose
// density jumps at an end of its support (uniform, half-normal) has none; what if
// answers for it.
package drivers

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"clampodds/dist"
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
	scenario.Inputs = scenario.Inputs.Single()
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

// Change is what is done to an input.
type Change int

// The changes.
const (
	Fixed   Change = iota + 1 // at its mean
	Halved                    // spread, about the mean
	Lowered                   // mean, by one standard deviation
	Raised
)

// Changes lists the changes in the order of all results.
func Changes() []Change { return []Change{Fixed, Halved, Lowered, Raised} }

// String returns "fixed", "halved", "lowered" or "raised".
func (c Change) String() string {
	return [...]string{"", "fixed", "halved", "lowered", "raised"}[c]
}

// Apply returns the distribution after the change.
func (c Change) Apply(d dist.Distribution) (dist.Distribution, error) {
	switch c {
	case Fixed:
		return dist.WithSpread(d, 0)
	case Halved:
		return dist.WithSpread(d, 0.5)
	case Lowered:
		return moved(d, -1)
	case Raised:
		return moved(d, 1)
	}
	panic(fmt.Sprintf("drivers: change %d", int(c)))
}

// moved moves the mean by so many standard deviations. A support that starts at
// zero or near it would be moved below: it is scaled instead.
func moved(d dist.Distribution, by float64) (dist.Distribution, error) {
	mean, deviation := d.Mean(), d.StdDev()
	if !finite(mean) || !finite(deviation) {
		return nil, fmt.Errorf("mean %g and standard deviation %g must be finite to be moved", mean, deviation)
	}
	if low, _ := d.Support(); low >= 0 && low < deviation {
		return dist.Multiplied(d, max(0, 1+by*deviation/mean))
	}
	return dist.Shifted(d, by*deviation)
}
