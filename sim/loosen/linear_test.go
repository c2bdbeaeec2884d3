package loosen

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/decide"
)

// linear is the model y = Σ coefficient·x with normal inputs, of which every
// answer is known in closed form.
type linear struct{ coefficients []float64 }

func (linear) Outputs() []sim.Output {
	return []sim.Output{{Name: "unused", Bin: 1}, {Name: "y", Unit: "K", Bin: 1e-3}}
}

func (l linear) Evaluate(x, y [][]float64) {
	for r := range y[1] {
		y[0][r], y[1][r] = 0, 0
		for i, c := range l.coefficients {
			y[1][r] += c * x[i][r]
		}
	}
}

// design is a linear design with limits on y and their targets.
type design struct {
	coefficients, means, sds []float64
	limit, target            float64
	below                    float64 // a lower limit with the same target; 0 for none
}

var demo = design{
	coefficients: []float64{2, 1, -1}, means: []float64{10, 20, 5}, sds: []float64{1, 1.5, 0.3},
	limit: 42.5, target: 0.01,
}

// mean and sd of y.
func (d design) mean() (m float64) {
	for i, c := range d.coefficients {
		m += c * d.means[i]
	}
	return m
}

func (d design) variance() (v float64) {
	for i, c := range d.coefficients {
		v += c * c * d.sds[i] * d.sds[i]
	}
	return v
}

// probability of exceeding the upper limit.
func (d design) probability() float64 {
	return dist.NormalSurvival((d.limit - d.mean()) / math.Sqrt(d.variance()))
}

// factor is the spread factor of an input at which the probability reaches the
// target: Φ((μ-limit)/σ) = target with σ² = rest + c²s²f².
func (d design) factor(input int) float64 {
	own := d.coefficients[input] * d.sds[input]
	sd := (d.limit - d.mean()) / -dist.NormalQuantile(d.target)
	return math.Sqrt((sd*sd - d.variance() + own*own) / (own * own))
}

// shift is the same for the mean of an input.
func (d design) shift(input int) float64 {
	return (d.limit - d.mean() + dist.NormalQuantile(d.target)*math.Sqrt(d.variance())) / d.coefficients[input]
}

var inputNames = []string{"a", "b", "c", "d"}

func (d design) scenario(t testing.TB) sim.Scenario {
	var variables []sim.Variable
	for i := range d.coefficients {
		normal, err := dist.NewNormal(d.means[i], d.sds[i])
		require.NoError(t, err)
		variables = append(variables, sim.Variable{Name: inputNames[i] + "/1", Input: inputNames[i], Level: sim.Card, Dist: normal})
	}
	inputs, err := sim.NewInputs(variables, nil, 1)
	require.NoError(t, err)
	s := sim.Scenario{Name: "linear", Inputs: inputs, Model: linear{d.coefficients}, Requirements: []sim.Requirement{
		{Name: "without target", Output: "y", Limit: 0}, {Name: "upper", Output: "y", Limit: d.limit, Target: d.target},
	}}
	if d.below != 0 {
		s.Requirements = append(s.Requirements, sim.Requirement{Name: "lower", Output: "y", Limit: d.below, Below: true, Target: d.target})
	}
	return s
}

// search judges the design; met as long as every target is kept.
func (d design) search(t testing.TB, seed uint64) *Search {
	return searchOf(t, decide.Setup{Run: sim.Run{Sampler: sim.Random{}, Seed: seed, Confidence: 0.95}, Evaluations: 20_000}, d.scenario(t))
}

func searchOf(t testing.TB, setup decide.Setup, scenarios ...sim.Scenario) *Search {
	s := &Search{Setup: setup}
	for _, one := range scenarios {
		s.Members = append(s.Members, decide.Member{Scenario: one})
	}
	var err error
	s.Base, err = s.Mission(context.Background(), s.Members)
	require.NoError(t, err)
	return s
}

// sameRows has all positions judged as ends on average are.
func (s *Search) sameRows(t testing.TB) {
	var err error
	s.SameRows, err = s.Setup.SameRows(context.Background(), s.Base)
	require.NoError(t, err)
}

func (d design) inputs(t testing.TB) *sim.Inputs { return d.scenario(t).Inputs }

func window(t testing.TB, s *Search, m Move, err error) Window {
	require.NoError(t, err)
	w, err := s.Window(context.Background(), m)
	require.NoError(t, err)
	return w
}

// stricter is the design with a target that the record of an end is below at most: its
// interval is 10 % either way, as asked for, and 15 with what is left to the ends.
func (d design) stricter() design {
	d.target /= 1.3
	return d
}
