package question

import (
	"bytes"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// linear stands in for the card: outputs offset[j] + Σ weight[j][i] x[i] of normal
// inputs, so that every probability has its closed form.
type linear struct {
	outputs []string
	offset  []float64
	weight  [][]float64
}

func (l linear) Outputs() []sim.Output {
	var list []sim.Output
	for _, name := range l.outputs {
		list = append(list, sim.Output{Name: name, Unit: "K", Bin: 1e-4})
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

// normals is normal inputs, given as pairs of mean and standard
// deviation.
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

const demo = "../../../../testdata/studies/two-face.toml"

func loadDemo(t testing.TB) *study.Study {
	s, err := study.Load(demo)
	require.NoError(t, err)
	return s
}

func linearSetup(samples int64) decide.Setup {
	return decide.Setup{
		Run:         sim.Run{Sampler: sim.Random{}, Seed: 3, Samples: samples, Confidence: 0.95},
		Evaluations: 10000,
	}
}

// reportText is a result as people read it, on lines of any length.
func reportText(t *testing.T, d reports.Document) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, reports.Terminal{Width: 0}.Write(&b, d))
	return b.String()
}
