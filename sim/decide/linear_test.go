package decide

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// linear is a model whose outputs are linear in normal inputs, so that every
// probability has its closed form: output j is offset[j] + Σ weight[j][i] x[i].
type linear struct {
	names  []string
	offset []float64
	weight [][]float64
}

func (l linear) Outputs() []sim.Output {
	var list []sim.Output
	for _, n := range l.names {
		list = append(list, sim.Output{Name: n, Unit: "K", Bin: 1e-4})
	}
	return list
}

func (l linear) Evaluate(x, y [][]float64) {
	for j := range y {
		for r := range y[j] {
			y[j][r] = l.offset[j]
			for i, w := range l.weight[j] {
				y[j][r] += w * x[i][r]
			}
		}
	}
}

// normals are variables v0, v1, ... with the given means and standard
// deviations, of input i0, i1, ...
func normals(t testing.TB, meanSD ...float64) *sim.Inputs {
	var variables []sim.Variable
	for i := 0; i < len(meanSD); i += 2 {
		d, err := dist.NewNormal(meanSD[i], meanSD[i+1])
		require.NoError(t, err)
		name := string(rune('a' + i/2))
		variables = append(variables, sim.Variable{Name: name, Input: name, Level: sim.Card, Dist: d})
	}
	inputs, err := sim.NewInputs(variables, nil, 1)
	require.NoError(t, err)
	return inputs
}

// exceeds is the exact probability that output j is above limit.
func (l linear) exceeds(p *sim.Inputs, j int, limit float64) float64 {
	mean, variance := l.offset[j], 0.0
	for i, w := range l.weight[j] {
		d := p.Variables()[i].Dist
		mean += w * d.Mean()
		variance += w * w * d.StdDev() * d.StdDev()
	}
	return dist.NormalSurvival((limit - mean) / math.Sqrt(variance))
}

func setup(samples int64, seed uint64) Setup {
	return Setup{
		Run:         sim.Run{Sampler: sim.Random{}, Seed: seed, Samples: samples, Workers: 2, Confidence: 0.95},
		Evaluations: 10000,
	}
}

var background = context.Background()
