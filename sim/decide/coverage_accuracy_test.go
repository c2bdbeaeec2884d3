//go:build coverage

package decide

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/result"
)

// off is how far a card lies off the middle in two directions, with an unknown shift: no direction leads to the limit
// but that of the shift, so that the rows tell little. Given the shift m it exceeds c with probability
// exp(-(c-m)²/2) (Rayleigh distribution).
type off struct{ by float64 }

func (off) Outputs() []sim.Output { return []sim.Output{{Name: "y", Unit: "K", Bin: 1e-4}} }

func (o off) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = math.Hypot(x[0][r], x[1][r]) + x[2][r] + o.by
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

// settling asks, at each of so many values spread evenly on a logarithmic scale about a truth, for the accuracy that settles
// it, and whether that came true: settles returns that accuracy, nil where nothing is open, and a question with it. The
// spread is what the forecast reckons with. Three standard errors of as many as are open are allowed
// for, one false alarm in 700; that it decides more often is none.
func settling(t *testing.T, truth, spread float64, repetitions int, settles func(seed uint64, at float64) (*result.Settling, func(accuracy float64) bool)) {
	open, settled, forecast := 0., 0., 0.
	for seed := range repetitions {
		by, again := settles(uint64(300+seed), truth*math.Exp(spread*(2*(float64(seed)+0.5)/float64(repetitions)-1)))
		if by == nil {
			continue
		}
		open, forecast = open+1, forecast+by.Chance
		if again(by.Accuracy) {
			settled++
		}
	}
	t.Logf("settled %v of %v, forecast %.1f, of %d", settled, open, forecast, repetitions)
	require.Greater(t, open, 20., "a case")
	expected := forecast / open
	assert.GreaterOrEqual(t, settled/open, expected-3*math.Sqrt(expected*(1-expected)/open))
}

// The accuracy that is said to settle a verdict does so as often as is said.
func TestCoverageOfWhatSettles(t *testing.T) {
	const limit, shift = 4, 0.3
	t.Run("mean", func(t *testing.T) {
		settling(t, dist.NormalSurvival(3/math.Sqrt(1.25)), 0.15, 150, ofRecord(t, Predictive, func(target float64) sim.Scenario { return partlyKnown(t, 0.5, 3, target) }))
	})
	t.Run("quantile over what is not known", func(t *testing.T) {
		quantile := math.Exp(-math.Pow(limit-shift*dist.NormalQuantile(0.95), 2) / 2)
		settling(t, quantile, 0.6, 100, ofRecord(t, Confident, func(target float64) sim.Scenario { return offBy(t, shift, limit, target) }))
	})
}

func ofRecord(t *testing.T, policy Policy, scenario func(target float64) sim.Scenario) func(uint64, float64) (*result.Settling, func(float64) bool) {
	return func(seed uint64, target float64) (*result.Settling, func(float64) bool) {
		s := setup(0, seed)
		s.Policy = policy
		r := recordOf(t, s, scenario(target))
		return r.SettledBy(s.accuracy(), 0.02), func(accuracy float64) bool {
			s.Accuracy = accuracy
			return recordOf(t, s, scenario(target)).Want != Cards
		}
	}
}

// So does that of a difference against its margin.
func TestCoverageOfWhatSettlesAChange(t *testing.T) {
	const sd, limit, rise = 1e-3, 3, 0.1
	one, other := offBy(t, sd, limit, 0), offBy(t, sd, limit, 0)
	other.Model = off{rise}
	difference := math.Exp(-(limit-rise)*(limit-rise)/2) - math.Exp(-limit*limit/2.) // but for the shift, which moves it by 1e-5 of itself
	settling(t, difference, 0.4, 200, func(seed uint64, margin float64) (*result.Settling, func(float64) bool) {
		c := by(Margin{Absolute, margin}, seed)
		c.Policy = Predictive
		ask := func() ChangeRecord { return changed(t, c, only(one), only(other)).Changes[0] }
		r := ask()
		return r.SettledBy(c.Margin, c.accuracy(), 0.02), func(accuracy float64) bool {
			c.Accuracy = accuracy
			return ask().Want != Cards
		}
	})
}
