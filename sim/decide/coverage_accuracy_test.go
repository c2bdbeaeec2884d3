//go:build coverage

package decide

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
)

// off is how far a card lies off the middle in two directions, with an unknown shift: no direction leads to the limit
// but that of the shift, so that the rows tell little. Given the shift m it exceeds c with probability
// exp(-(c-m)²/2) (Rayleigh distribution).
type off struct{}

func (off) Outputs() []sim.Output { return []sim.Output{{Name: "y", Unit: "K", Bin: 1e-4}} }

func (off) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = math.Hypot(x[0][r], x[1][r]) + x[2][r]
	}
}

func offBy(t *testing.T, sd, limit, target float64) sim.Scenario {
	var variables []sim.Variable
	for i, name := range []string{"a", "b", "m"} {
		d, err := dist.NewNormal(0, []float64{1, 1, sd}[i])
		require.NoError(t, err)
		level := []sim.Level{sim.Card, sim.Card, sim.Design}[i]
		variables = append(variables, sim.Variable{Name: name, Input: name, Level: level, Dist: d, Knowledge: level == sim.Design})
	}
	inputs, err := sim.NewInputs(variables, nil, 1)
	require.NoError(t, err)
	return sim.Scenario{Name: "off the middle", Inputs: inputs, Model: off{}, Requirements: []sim.Requirement{{Name: "y", Output: "y", Limit: limit, Target: target}}}
}

// The accuracy that is said to decide does so as often as is said. Targets are spread evenly about the
// truth on a logarithmic scale, which is what the forecast reckons with. Three standard errors of as many
// seeds as are open are allowed for, one false alarm in 700; that it decides more often is none.
func TestCoverageOfWhatSettles(t *testing.T) {
	const limit, shift = 4, 0.3
	for _, c := range []struct {
		name        string
		truth       float64
		spread      float64
		policy      Policy
		scenario    func(t *testing.T, target float64) sim.Scenario
		repetitions int
	}{
		{"mean", dist.NormalSurvival(3 / math.Sqrt(1.25)), 0.15, Predictive, func(t *testing.T, target float64) sim.Scenario { return partlyKnown(t, 0.5, 3, target) }, 150},
		{"quantile over what is not known", math.Exp(-math.Pow(limit-shift*dist.NormalQuantile(0.95), 2) / 2), 0.6, Confident, func(t *testing.T, target float64) sim.Scenario { return offBy(t, shift, limit, target) }, 300},
	} {
		open, decided, forecast := 0., 0., 0.
		for seed := range c.repetitions {
			target := c.truth * math.Exp(c.spread*(2*(float64(seed)+0.5)/float64(c.repetitions)-1))
			s := setup(0, uint64(300+seed))
			s.Policy = c.policy
			scenario := c.scenario(t, target)
			r := recordOf(t, s, scenario)
			if r.Want != Cards {
				continue
			}
			by := r.SettledBy(s.accuracy(), 0.01)
			require.NotNil(t, by)
			if by.Accuracy < 0.02 {
				continue // takes too long here
			}
			open, forecast = open+1, forecast+by.Chance
			s.Accuracy = by.Accuracy
			if r := recordOf(t, s, scenario); r.Want != Cards {
				decided++
			}
		}
		t.Logf("%s: settled %v of %v, forecast %.1f, of %d", c.name, decided, open, forecast, c.repetitions)
		require.Greater(t, open, 15., "a case")
		expected := forecast / open
		assert.GreaterOrEqual(t, decided/open, expected-3*math.Sqrt(expected*(1-expected)/open), c.name)
	}
}
