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
}

func (p problem) scenario(t testing.TB) (sim.Scenario, sim.Requirement) {
	normal, err := dist.NewNormal(0, 1)
	require.NoError(t, err)
	var variables []sim.Variable
	for i, level := range []sim.Level{sim.Chassis, sim.Card, sim.Card} {
		name := fmt.Sprint("x", i)
		variables = append(variables, sim.Variable{Name: name, Input: name, Level: level, Dist: normal})
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
	curved     = problem{"curved", rise(3), false, curvedProbability(3)}
	leastValue = problem{"least value", func(x [3]float64) float64 { return -rise(3)(x) }, true, curvedProbability(3)}
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
