package tail

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
	"clampodds/sim/rare"
	_ "clampodds/testdata/fixedseed"
)

// clamp is a linear model with a clearance: without one (below 0) there is no
// temperature. It has no value either where the third variable is above 8, and
// no clearance says so.
type clamp struct{}

// plainClamp always has a temperature where there is a clearance.
type plainClamp struct{ clamp }

func (plainClamp) Evaluate(x, y [][]float64) {
	clamp{}.Evaluate(x, y)
	for r, c := range x[2] {
		if c > 8 {
			y[0][r] = x[0][r] + 2*x[1][r]
		}
	}
}

func (clamp) Outputs() []sim.Output {
	return []sim.Output{{Name: "temperature", Unit: "K", Bin: 1e-4}, {Name: "clearance", Unit: "m", Bin: 1e-4}}
}

func (clamp) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r], y[1][r] = x[0][r]+2*x[1][r], x[2][r]
		if x[2][r] < 0 || x[2][r] > 8 {
			y[0][r] = math.Inf(1)
		}
	}
}

func scenario(t require.TestingT, corr ...sim.Correlation) sim.Scenario {
	var variables []sim.Variable
	for _, v := range []struct {
		name     string
		mean, sd float64
		level    sim.Level
	}{{"a", 1, 2, sim.Lot}, {"b", 3, 1, sim.Lot}, {"c", 4, 1, sim.Card}} {
		d, err := dist.NewNormal(v.mean, v.sd)
		require.NoError(t, err)
		variables = append(variables, sim.Variable{Name: v.name, Input: v.name, Level: v.level, Dist: d})
	}
	inputs, err := sim.NewInputs(variables, corr, 6)
	require.NoError(t, err)
	return sim.Scenario{Name: "one", Inputs: inputs, Model: clamp{}}
}

var (
	hot   = sim.Requirement{Name: "hot", Output: "temperature", Limit: 20}
	tight = sim.Requirement{Name: "tight", Output: "clearance", Limit: 0, Below: true}
)

func options(seed uint64) rare.Options {
	return rare.Options{Stream: Stream(seed, "hot"), Evaluations: 20000, RelativeError: 0.05, Level: 0.95}
}

// temperature - mean is normal with variance 4 + 4 + 2 rho 2 2, rho the
// correlation of the scores; the clearance fails alone with Phi(-4).
func TestAProblemHasItsClosedForm(t *testing.T) {
	for _, rank := range []float64{0, 0.6} {
		var corr []sim.Correlation
		if rank > 0 {
			corr = []sim.Correlation{{A: "a", B: "b", Rank: rank}}
		}
		plain := scenario(t, corr...)
		plain.Model = plainClamp{}
		s, err := NewState(plain, hot, tight)
		require.NoError(t, err)
		r, err := rare.Estimate(s.Problem(), options(3))
		require.NoError(t, err)
		beta := 13 / math.Sqrt(8+8*2*math.Sin(math.Pi*rank/6))
		want := []float64{dist.NormalSurvival(beta), dist.NormalSurvival(4)}
		for e := range want {
			// Four standard errors: one false alarm in 16 000 for each.
			assert.InDelta(t, want[e], r.Events[e].Value, 4*r.Events[e].StandardError, "rank %v event %d", rank, e)
		}
		assert.Equal(t, rare.Established, r.Evidence, r.Reason)
		assert.InDelta(t, min(beta, 4), r.DesignPoints[0].Beta, 1e-3, "a search ends within 5e-3, and second-order in beta")
	}
}

func TestRowsWithoutValueBelongToTheEventThatExplainsThem(t *testing.T) {
	s, err := NewState(scenario(t), hot, tight)
	require.NoError(t, err)
	u := [][]float64{{0, 0, 0}, {8, 8, 0}, {0, 0, -5}, {0, 0, 5}, {0, 0, -4}}
	g := [][]float64{make([]float64, len(u)), make([]float64, len(u))}
	s.Problem().Evaluate(u, g)
	inf := math.Inf(1)
	assert.Equal(t, []float64{13, -19, inf, -inf, 13}, g[0])
	assert.Equal(t, []float64{4, 4, -1, 9, math.SmallestNonzeroFloat64}, g[1], "a clearance of just 0 is none below 0")
}

// The rows that fail are those that a run counts.
func TestFailureIsExceedance(t *testing.T) {
	s, err := NewState(scenario(t), hot, tight)
	require.NoError(t, err)
	p := s.Problem()
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SliceOfN(rapid.Float64Range(-6, 6), 3, 3).Draw(t, "u")
		g := [][]float64{{0}, {0}}
		p.Evaluate([][]float64{u}, g)
		x, y := transpose([][]float64{s.Values(u)}), batch.Columns(2, 1)
		clamp{}.Evaluate(x, y)
		assert.Equal(t, y[0][0] > hot.Limit || y[1][0] < 0, g[0][0] <= 0 || g[1][0] <= 0)
	})
}

func TestValuesFollowTheCopula(t *testing.T) {
	s, err := NewState(scenario(t, sim.Correlation{A: "b", B: "a", Rank: 0.5}), hot)
	require.NoError(t, err)
	rho := 2 * math.Sin(math.Pi*0.5/6)
	assert.InDeltaSlice(t, []float64{1 + 2*1.5, 3 + rho*1.5 + math.Sqrt(1-rho*rho)*0.5, 4 - 2}, s.Values([]float64{1.5, 0.5, -2}), 1e-12)
}

func TestWrongStates(t *testing.T) {
	s := scenario(t)
	for want, events := range map[string][]sim.Requirement{
		"no event":                   nil,
		`no output "pressure"`:       {{Name: "p", Output: "pressure"}},
		`event "n": limit NaN, must`: {{Name: "n", Output: "clearance", Limit: math.NaN()}},
	} {
		_, err := NewState(s, events...)
		assert.ErrorContains(t, err, want)
	}
	var err error
	s.Inputs, err = sim.NewInputs(nil, nil, 1)
	require.NoError(t, err)
	_, err = NewState(s, hot)
	assert.ErrorIs(t, err, sim.ErrNoRandomInput)
}
