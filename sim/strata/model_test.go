package strata

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gonum.org/v1/gonum/integrate/quad"

	"clampodds/dist"
	"clampodds/sim"
)

// formula is a model of one quantity, a function of the inputs of one row.
type formula func(x [3]float64) float64

func (formula) Outputs() []sim.Output {
	return []sim.Output{{Name: "other", Unit: "1", Bin: 1}, {Name: "y", Unit: "K", Bin: 1e-3}}
}

func (f formula) Evaluate(x, y [][]float64) {
	for r := range y[1] {
		y[0][r], y[1][r] = x[0][r], f([3]float64{x[0][r], x[1][r], x[2][r]})
	}
}

// problem is a formula of three standard normal inputs, the first one shared by
// the four cards of a chassis, with the limit 0 and the true probability.
type problem struct {
	name        string
	formula     formula
	below       bool
	probability float64
	// jump is how often the last two inputs are 2 and not 0; 0 where they do not jump.
	jump float64
}

func (p problem) scenario(t testing.TB) (sim.Scenario, sim.Requirement) {
	normal, err := dist.NewNormal(0, 1)
	require.NoError(t, err)
	var variables []sim.Variable
	for i, level := range []sim.Level{sim.Chassis, sim.Card, sim.Card} {
		name := fmt.Sprint("x", i)
		variable := sim.Variable{Name: name, Input: name, Level: level, Dist: normal}
		if p.jump > 0 && i > 0 {
			variable.Dist, err = dist.NewApart(1-p.jump, dist.Must(dist.NewFixed(0)), dist.Must(dist.NewFixed(2)))
			require.NoError(t, err)
		}
		variables = append(variables, variable)
	}
	inputs, err := sim.NewInputs(variables, nil, 4)
	require.NoError(t, err)
	return sim.Scenario{Name: p.name, Inputs: inputs, Model: p.formula}, sim.Requirement{Name: "limit", Output: "y", Below: p.below}
}

func (p problem) estimate(t testing.TB, o Options) *Result {
	scenario, q := p.scenario(t)
	r, err := Estimate(context.Background(), scenario, q, o)
	require.NoError(t, err)
	return r
}

func (p problem) sample(t testing.TB, o Options) *sample {
	scenario, q := p.scenario(t)
	s, err := newSample(context.Background(), scenario, q, nil, o)
	require.NoError(t, err)
	return s
}

// tail is the standard normal probability above z.
func tail(z float64) float64 { return dist.NormalSurvival(z) }

var (
	// A ninth of the variance is curvature, of which a direction knows nothing.
	curved     = problem{"curved", rise(3), false, curvedProbability(3), 0}
	leastValue = problem{"least value", func(x [3]float64) float64 { return -rise(3)(x) }, true, curvedProbability(3), 0}
	// Two inputs jump, each in a fiftieth of the rows; none, one or both do.
	jumps = problem{"jumps", func(x [3]float64) float64 { return x[0] + x[1] + x[2] - 4.2 }, false,
		0.98*0.98*tail(4.2) + 2*0.02*0.98*tail(2.2) + 0.02*0.02*tail(0.2), 0.02}
)

func rise(limit float64) formula {
	return func(x [3]float64) float64 { return (x[0]+2*x[1])/math.Sqrt(5) + (x[2]*x[2]-1)/4 - limit }
}

// curvedProbability is the integral over x2 of the probability of the rest.
func curvedProbability(limit float64) float64 {
	return quad.Fixed(func(x float64) float64 {
		return math.Exp(dist.NormalLogDensity(x)) * tail(limit-(x*x-1)/4)
	}, -9, 9, 400, nil, 0)
}
