//go:build coverage

package strata

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// many adds up a varying input and unknown ones, bent along their sum.
type many struct{ unknown int }

func (many) Outputs() []sim.Output { return []sim.Output{{Name: "y", Unit: "K", Bin: 1e-3}} }

func (m many) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		sum := 0.0
		for i := 1; i <= m.unknown; i++ {
			sum += x[i][r] / math.Sqrt(float64(m.unknown))
		}
		y[0][r] = x[0][r] + m.mean(sum)
	}
}

// mean of the output where the standardised sum of the unknown inputs is t.
func (many) mean(t float64) float64 { return 0.8*t + 0.1*t*t }

// The quantile over ten unknown inputs, which the surface follows along their sum alone.
// 40 repetitions at 95 % have a standard error of 3.4 %, three of which are allowed for.
func TestCoverageKnowledgeOfManyInputs(t *testing.T) {
	const unknown, repetitions = 10, 40
	m := many{unknown}
	variables := []sim.Variable{{Name: "x", Level: sim.Card, Dist: must(dist.NewNormal(0, 1))}}
	for i := range unknown {
		variables = append(variables, sim.Variable{Name: fmt.Sprint("a", i), Level: sim.Design, Dist: must(dist.NewNormal(0, 1)), Knowledge: true})
	}
	// A few that do not matter.
	for i := range 6 {
		variables = append(variables, sim.Variable{Name: fmt.Sprint("b", i), Level: sim.Design, Dist: must(dist.NewNormal(0, 1)), Knowledge: true})
	}
	scenario := sim.Scenario{Name: "many", Inputs: must(sim.NewInputs(variables, nil, 1)), Model: m}
	q := sim.Requirement{Name: "limit", Output: "y", Limit: 4}
	exact := dist.NormalSurvival(q.Limit - m.mean(dist.NormalQuantile(0.95))) // the mean rises with t there
	covered, ratio, inputs := 0, 0.0, 0
	for seed := range uint64(repetitions) {
		u, err := knowledge(context.Background(), scenario, q, KnowledgeOptions{Rows: 40_000, Confidence: 0.95, Seed: seed})
		require.NoError(t, err)
		if u.Upper.Low <= exact && exact <= u.Upper.High {
			covered++
		}
		ratio += u.Upper.Value / exact / repetitions
		inputs += len(u.Inputs)
	}
	t.Logf("covered %d of %d, mean over exact %.3f, %.2f inputs", covered, repetitions, ratio, float64(inputs)/repetitions)
	assert.GreaterOrEqual(t, float64(covered)/repetitions, 0.95-0.103)
	// A mean off by more than a tenth would come from a surface that bends wrongly.
	assert.InDelta(t, 1, ratio, 0.10)
}
