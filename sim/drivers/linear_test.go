package drivers

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/rare"
	"clampodds/sim/tail"
)

// linear is y = Σ factor x.
type linear []float64

func (linear) Outputs() []sim.Output { return []sim.Output{{Name: "y", Unit: "K", Bin: 1e-4}} }

func (l linear) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = 0
		for i, factor := range l {
			y[0][r] += factor * x[i][r]
		}
	}
}

// The inputs: edge draws for both edges, lot for all; oil reaches two inputs
// together; idle has no effect.
var (
	factors    = linear{1, 1, 2, 1, -1, 0}
	deviations = []float64{1, 1, 0.8, 1.2, 1, 3}
)

const oil = 0.5 // correlation of the normal scores of thread and head

func scenario(t require.TestingT) sim.Scenario {
	names := []string{"edge/left", "edge/right", "lot", "thread", "head", "idle"}
	levels := []sim.Level{sim.Edge, sim.Edge, sim.Lot, sim.Card, sim.Card, sim.Design}
	var variables []sim.Variable
	for i, name := range names {
		d, err := dist.NewNormal(float64(i), deviations[i])
		require.NoError(t, err)
		input := name
		if i < 2 {
			input = "edge"
		}
		variables = append(variables, sim.Variable{Name: name, Input: input, Level: levels[i], Dist: d})
	}
	rank := 6 / math.Pi * math.Asin(oil/2)
	inputs, err := sim.NewInputs(variables, []sim.Correlation{{A: "head", B: "thread", Rank: rank}}, 3)
	require.NoError(t, err)
	return sim.Scenario{Name: "linear", Inputs: inputs, Model: factors}
}

// moments are the exact mean and standard deviation with the deviations given
// and the means moved by so many of them.
func moments(deviation []float64, moved []float64) (mean, sd float64) {
	variance := 2 * oil * factors[3] * factors[4] * deviation[3] * deviation[4]
	for i, f := range factors {
		mean += f * (float64(i) + moved[i]*deviations[i])
		variance += f * f * deviation[i] * deviation[i]
	}
	return mean, math.Sqrt(variance)
}

// changed are the moments after a change of the columns.
func changed(c Change, columns []int) (mean, sd float64) {
	deviation, moved := append([]float64(nil), deviations...), make([]float64, len(deviations))
	for _, i := range columns {
		switch c {
		case Fixed:
			deviation[i] = 0
		case Halved:
			deviation[i] /= 2
		case Lowered:
			moved[i] = -1
		case Raised:
			moved[i] = 1
		}
	}
	return moments(deviation, moved)
}

func analysis(t require.TestingT, rows int) *Analysis {
	a, err := New(scenario(t), Options{Output: "y", Rows: rows, Seed: 7, Level: 0.95})
	require.NoError(t, err)
	return a
}

func TestInputsAreAllInstances(t *testing.T) {
	assert.Equal(t, []Input{
		{Name: "edge", Level: sim.Edge, Columns: []int{0, 1}},
		{Name: "lot", Level: sim.Lot, Columns: []int{2}},
		{Name: "thread", Level: sim.Card, Columns: []int{3}, Set: 1},
		{Name: "head", Level: sim.Card, Columns: []int{4}, Set: 1},
		{Name: "idle", Level: sim.Design, Columns: []int{5}},
	}, Inputs(scenario(t).Inputs))
}

func TestInputsOfInstancesThatGoTogetherAreOneSet(t *testing.T) {
	inputs := []Input{{Name: "a", Columns: []int{0, 1}}, {Name: "b", Columns: []int{2, 3}}, {Name: "c", Columns: []int{4}}, {Name: "d", Columns: []int{5}}}
	number(inputs, [][]int{{0, 2}, {1, 3}})
	assert.Equal(t, inputs[0].Set, inputs[1].Set)
	assert.Positive(t, inputs[0].Set)
	assert.Zero(t, inputs[2].Set)
	number(inputs, [][]int{{0, 2}, {4, 5}, {3, 4}})
	for _, in := range inputs {
		assert.Equal(t, inputs[0].Set, in.Set, in.Name)
	}
}

// Every interval of 95 % is widened to 4.5 standard errors by scaling: t of 15
// degrees of freedom is 2.13 at 95 % and 4.07 at 99.9 %.
func covers(t *testing.T, want, value, low, high float64, what string) {
	t.Helper()
	assert.InDelta(t, want, value, 2*(high-low)/2+1e-12, "%s: [%v, %v]", what, low, high)
}

func TestSpreadOfALinearModel(t *testing.T) {
	s, err := analysis(t, 8000).Spread()
	require.NoError(t, err)
	_, sd := moments(deviations, make([]float64, 6))
	v := sd * sd
	covers(t, v, s.Variance.Mean, s.Variance.Low, s.Variance.High, "variance")
	both := 1.44 + 1 - 2*oil*1.2
	// Without interaction first and total are one.
	for name, want := range map[string]float64{"edge": 2 / v, "lot": 2.56 / v, "set": both / v, "idle": 0} {
		for _, share := range s.Shares {
			first := analysis(t, 1000).Inputs()[share.Inputs[0]].Name
			if first == "thread" {
				first = "set"
			}
			if first != name {
				continue
			}
			covers(t, want, share.First.Mean, share.First.Low, share.First.High, name)
			covers(t, want, share.Total.Mean, share.Total.Low, share.Total.High, name)
			assert.Equal(t, want == 0, share.Indistinguishable, name)
			assert.Less(t, share.Total.High-share.Total.Low, 0.1)
		}
	}
	require.Len(t, s.Shares, 4)
	assert.Equal(t, []int{1}, s.Shares[0].Inputs, "the lot makes most of it")
	assert.Equal(t, []int{4}, s.Shares[3].Inputs)
	// Shapley of two correlated inputs among independent ones: half the sum of
	// what knowing the input removes and what only it can change.
	effect := func(own, other float64) float64 {
		known := own + oil*other
		return (known*known + own*own*(1-oil*oil)) / 2 / v
	}
	for _, share := range s.Shares {
		if len(share.Members) == 0 {
			continue
		}
		require.Len(t, share.Members, 2)
		thread, head := share.Members[0], share.Members[1]
		covers(t, effect(1.2, -1), thread.Share.Mean, thread.Share.Low, thread.Share.High, "thread")
		covers(t, effect(-1, 1.2), head.Share.Mean, head.Share.Low, head.Share.High, "head")
	}
}

func TestPercentilesOfALinearModel(t *testing.T) {
	a := analysis(t, 8000)
	r, err := a.Percentiles(0.99)
	require.NoError(t, err)
	mean, sd := moments(deviations, make([]float64, 6))
	const z = 2.3263478740408408
	// Four standard errors of the quantile of 8000 independent rows.
	assert.InDelta(t, mean+z*sd, r.Before, 4*sd*math.Sqrt(0.01*0.99/8000)/0.02665)
	for k, in := range a.Inputs() {
		for c, change := range Changes() {
			m := r.Moved[k][c]
			after, deviation := changed(change, in.Columns)
			if change == Lowered || change == Raised {
				// On common draws every row moves alike.
				assert.InDelta(t, after-mean, m.Value, 1e-9, "%s %s", in.Name, change)
				assert.InDelta(t, m.Value, m.Low, 1e-9)
			} else {
				// Twice the 95 % interval: 4.5 standard errors of t with 9 degrees of freedom,
				// one false alarm in 700; and a bias of 2 % in sections of 800 rows.
				assert.InDelta(t, z*(deviation-sd), m.Value, m.High-m.Low+0.02*z*(sd-deviation), "%s %s", in.Name, change)
			}
			if in.Set == 0 { // thread and head nearly cancel: their spreads hardly matter
				assert.Equal(t, in.Name == "idle", m.Indistinguishable, "%s %s", in.Name, change)
			}
		}
	}
}

func exceedanceOf(t *testing.T, seed uint64, rows int, limit float64) (*Analysis, Exceedance) {
	t.Helper()
	a, err := New(scenario(t), Options{Output: "y", Rows: rows, Seed: seed, Level: 0.95})
	require.NoError(t, err)
	events := []sim.Requirement{{Name: "hot", Output: "y", Limit: limit}}
	state, err := tail.NewState(scenario(t), events...)
	require.NoError(t, err)
	found, err := rare.Estimate(state.Problem(), rare.Options{Stream: tail.Stream(seed, ""), Evaluations: 20000, RelativeError: 0.1, Level: 0.95})
	require.NoError(t, err)
	e, err := a.Exceedance(events, found)
	require.NoError(t, err)
	return a, e
}

// betas of the limits: one often exceeded, one at 1e-6.
var betas = []float64{1, 4.7534243088229}

// factorAfter is the exact factor of the probability after a change.
func factorAfter(c Change, columns []int, beta float64) float64 {
	mean, sd := moments(deviations, make([]float64, 6))
	after, deviation := changed(c, columns)
	return dist.NormalSurvival((mean+beta*sd-after)/deviation) / dist.NormalSurvival(beta)
}

// Five seeds, because one may hide a bias: thread and head are correlated, and the
// change of one moves what the other does.
func TestExceedanceOfALinearModel(t *testing.T) {
	mean, sd := moments(deviations, make([]float64, 6))
	for seed := range uint64(5) {
		for _, beta := range betas {
			a, e := exceedanceOf(t, seed, 4000, mean+beta*sd)
			assert.InEpsilon(t, dist.NormalSurvival(beta), e.Probability, 0.1, "16 000 draws of spread 2.5: five standard errors")
			for k, in := range a.Inputs() {
				for c, change := range Changes() {
					f := e.Factors[k][c]
					// Twice the 95 % interval on a logarithmic scale: 3.9 standard errors, one
					// false alarm in 50 of these 200 together.
					assert.InDelta(t, math.Log(factorAfter(change, in.Columns, beta)), math.Log(f.Value),
						2*math.Log(f.High/f.Value)+1e-9, "seed %d: %s %s: %v", seed, in.Name, change, f)
					if in.Set == 0 {
						assert.Equal(t, in.Name == "idle", f.Indistinguishable, "seed %d: %s %s: %v", seed, in.Name, change, f)
					}
					assert.Less(t, f.High/f.Low, 2.0, "seed %d: %s %s: %v", seed, in.Name, change, f)
				}
			}
		}
	}
}

func TestSlopesOfALinearModel(t *testing.T) {
	mean, sd := moments(deviations, make([]float64, 6))
	const beta = 3.0
	a, e := exceedanceOf(t, 7, 8000, mean+beta*sd)
	density := math.Exp(dist.NormalLogDensity(beta))
	for k, in := range a.Inputs() {
		s := e.Slopes[k]
		require.NoError(t, s.Err)
		shift, stretch := 0.0, 0.0
		for _, i := range in.Columns {
			shift += factors[i]
			own := factors[i] * factors[i] * deviations[i]
			if i == 3 || i == 4 {
				own += oil * factors[3] * factors[4] * deviations[7-i]
			}
			stretch += own / sd
		}
		// Four standard errors: one false alarm in 16 000.
		assert.InDelta(t, density/sd*shift, s.Mean.Value, 4*s.Mean.StandardError, in.Name)
		assert.InDelta(t, density*beta/sd*stretch, s.StdDev.Value, 4*s.StdDev.StandardError, in.Name)
		assert.Less(t, s.Mean.StandardError, 0.3*density, in.Name)
		assert.Equal(t, deviations[in.Columns[0]], s.Deviation)
	}
}
