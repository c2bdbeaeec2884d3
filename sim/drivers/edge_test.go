package drivers

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/rare"
	"clampodds/sim/sensitivity"
)

func must(d dist.Distribution, err error) dist.Distribution {
	if err != nil {
		panic(err)
	}
	return d
}

func TestChangesOfOneInput(t *testing.T) {
	normal, err := dist.NewNormal(10, 2)
	require.NoError(t, err)
	crown, err := dist.NewHalfNormal(5)
	require.NoError(t, err)
	for c, want := range map[Change][2]float64{Fixed: {10, 0}, Halved: {10, 1}, Lowered: {8, 2}, Raised: {12, 2}} {
		d, err := c.Apply(normal)
		require.NoError(t, err)
		assert.InDelta(t, want[0], d.Mean(), 1e-12, c)
		assert.InDelta(t, want[1], d.StdDev(), 1e-12, c)
	}
	for c, factor := range map[Change]float64{Lowered: 1 - crown.StdDev()/crown.Mean(), Raised: 1 + crown.StdDev()/crown.Mean()} {
		d, err := c.Apply(crown)
		require.NoError(t, err)
		low, _ := d.Support()
		assert.Zero(t, low, "a crown is not moved below zero")
		assert.InDelta(t, factor*crown.Mean(), d.Mean(), 1e-12, c)
	}
	_, err = Lowered.Apply(must(dist.NewStudentT(1, 0, 1)))
	assert.ErrorContains(t, err, "must be finite")
	assert.Panics(t, func() { _, _ = Change(0).Apply(normal) })
}

func TestSameBitsForAnyNumberOfWorkers(t *testing.T) {
	first := ""
	for _, workers := range []int{1, 2, 5} {
		a, err := New(scenario(t), Options{Output: "y", Rows: 1024, Seed: 0, Workers: workers, Level: 0.9})
		require.NoError(t, err)
		spread, err := a.Spread()
		require.NoError(t, err)
		moved, err := a.Percentiles(0.95)
		require.NoError(t, err)
		e, err := a.Exceedance([]sim.Requirement{{Name: "hot", Output: "y", Limit: 8}}, rare.Result{})
		require.NoError(t, err)
		assert.Positive(t, e.Probability)
		all := fmt.Sprint(spread, moved, e.Factors, e.Probability) // %v keeps every bit
		if first == "" {
			first = all
		}
		assert.True(t, first == all, "%d workers", workers)
	}
}

func TestWrongAnalyses(t *testing.T) {
	good := Options{Output: "y", Rows: 1000, Level: 0.95}
	for want, change := range map[string]func(o *Options){
		`no output "z"`:       func(o *Options) { o.Output = "z" },
		"Options.Rows is 999": func(o *Options) { o.Rows = 999 },
		"workers: -1":         func(o *Options) { o.Workers = -1 },
		"level: NaN":          func(o *Options) { o.Level = math.NaN() },
	} {
		o := good
		change(&o)
		_, err := New(scenario(t), o)
		assert.ErrorContains(t, err, want)
	}
	_, err := New(sim.Scenario{Inputs: inputsOf(t, nil), Model: linear{}}, good)
	assert.ErrorIs(t, err, sim.ErrNoRandomInput)
}

func TestConstantOutputAndOneInput(t *testing.T) {
	one := inputsOf(t, []dist.Distribution{must(dist.NewUniform(0, 1))})
	constant, err := New(sim.Scenario{Inputs: one, Model: linear{0}}, Options{Output: "y", Rows: 1000, Level: 0.95})
	require.NoError(t, err)
	_, err = constant.Spread()
	var refused *sensitivity.ConstantOutputError
	assert.ErrorAs(t, err, &refused)

	alone, err := New(sim.Scenario{Inputs: one, Model: linear{2}}, Options{Output: "y", Rows: 1600, Level: 0.95})
	require.NoError(t, err)
	s, err := alone.Spread()
	require.NoError(t, err)
	assert.InDelta(t, 1, s.Shares[0].Total.Mean, 0.1, "all of it")
	p, err := alone.Percentiles(0.9)
	require.NoError(t, err)
	assert.InDelta(t, -0.8, p.Moved[0][0].Value, 0.02, "from the 90th percentile to the mean")
	// P(2x > 1.9) = 0.05; with half the spread and with the mean lowered it cannot
	// happen; raised by sd = 1/sqrt(12) it happens above 0.95 - sd.
	e, err := alone.Exceedance([]sim.Requirement{{Name: "hot", Output: "y", Limit: 1.9}}, rare.Result{})
	require.NoError(t, err)
	assert.Zero(t, e.Factors[0][0].Value)
	assert.Zero(t, e.Factors[0][1].Value)
	assert.Zero(t, e.Factors[0][2].Value)
	raised := e.Factors[0][3]
	want := (0.05 + math.Sqrt(1.0/12)) / 0.05
	assert.InDelta(t, math.Log(want), math.Log(raised.Value), 2*math.Log(raised.High/raised.Value))
	assert.ErrorContains(t, e.Slopes[0].Err, "density jumps")
}

// Two hundred inputs of equal effect: shares of 1/200, each above the noise or
// called indistinguishable, none above 5 %.
func TestTwoHundredInputs(t *testing.T) {
	var dists []dist.Distribution
	model := linear{}
	for range 200 {
		dists, model = append(dists, must(dist.NewNormal(0, 1))), append(model, 1)
	}
	a, err := New(sim.Scenario{Inputs: inputsOf(t, dists), Model: model}, Options{Output: "y", Rows: 1024, Level: 0.95})
	require.NoError(t, err)
	s, err := a.Spread()
	require.NoError(t, err)
	total := 0.0
	for _, share := range s.Shares {
		total += share.Total.Mean
		assert.Less(t, share.Total.Mean, 0.05)
	}
	// 1024 rows: the squared differences and the variance each scatter by 4.4 %.
	assert.InDelta(t, 1, total, 4*0.062)
}

func inputsOf(t *testing.T, dists []dist.Distribution) *sim.Inputs {
	t.Helper()
	var variables []sim.Variable
	for i, d := range dists {
		variables = append(variables, sim.Variable{Name: string(rune('Ā' + i)), Level: sim.Card, Dist: d})
	}
	p, err := sim.NewInputs(variables, nil, 1)
	require.NoError(t, err)
	return p
}

// Where nothing exceeded there is no factor, and no slope.
func TestNothingExceeded(t *testing.T) {
	a := analysis(t, 1000)
	e, err := a.Exceedance([]sim.Requirement{{Name: "hot", Output: "y", Limit: 1e6}}, rare.Result{})
	require.NoError(t, err)
	assert.Zero(t, e.Probability)
	assert.Zero(t, e.Failures)
	assert.True(t, math.IsNaN(e.Factors[0][0].Value))
	assert.True(t, e.Factors[0][0].Indistinguishable)
	var few *sensitivity.TooFewError
	assert.ErrorAs(t, e.Slopes[0].Err, &few)
}

// Rows without a value are left out of percentiles; the spread of such an output
// is refused.
func TestOutputsWithoutValue(t *testing.T) {
	assert.Equal(t, 2.0, quantile([]float64{math.Inf(1), 1, 3, 2}, 0.5))
	assert.Equal(t, 2.5, quantile([]float64{4, 1, 3, 2}, 0.5))
	assert.True(t, math.IsNaN(quantile([]float64{math.Inf(1)}, 0.5)))
}
