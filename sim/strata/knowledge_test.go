package strata

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"

	"clampodds/dist"
	"clampodds/sim"
)

// outer is a model of a varying input x[0], standard normal, and two unknown
// ones, a standard normal and a uniform one of variance 1.
type outer struct {
	value func(x, a, b float64) float64
	// shared is the level of x: the cards of a chassis then go together.
	shared bool
}

func (outer) Outputs() []sim.Output { return []sim.Output{{Name: "y", Unit: "K", Bin: 1e-3}} }

func (o outer) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r] = o.value(x[0][r], x[1][r], x[2][r])
	}
}

var atThree = sim.Requirement{Name: "limit", Output: "y", Limit: 3}

func must[T any](value T, err error) T {
	if err != nil {
		panic(err)
	}
	return value
}

func (o outer) scenario(t testing.TB) sim.Scenario {
	level := sim.Card
	if o.shared {
		level = sim.Chassis
	}
	normal, uniform := must(dist.NewNormal(0, 1)), must(dist.NewUniform(-math.Sqrt(3), math.Sqrt(3)))
	inputs, err := sim.NewInputs([]sim.Variable{
		{Name: "x", Level: level, Dist: normal},
		{Name: "a", Level: sim.Design, Dist: normal, Knowledge: true},
		{Name: "b", Level: sim.Design, Dist: uniform, Knowledge: true},
	}, nil, 4)
	require.NoError(t, err)
	return sim.Scenario{Name: "s", Inputs: inputs, Model: o, Requirements: []sim.Requirement{atThree}}
}

// knowledge is one look at the rows of the options.
func knowledge(ctx context.Context, scenario sim.Scenario, q sim.Requirement, o KnowledgeOptions) (*Unknown, error) {
	look, err := NewKnowledgeLook(ctx, scenario, q, o)
	if err != nil {
		return nil, err
	}
	return look.Rows(ctx, o.Rows)
}

func (o outer) knowledge(t testing.TB, seed uint64) *Unknown {
	return o.knowledgeFrom(t, seed, 40_000, 0)
}

// knowledgeFrom starts from a screen of so many rows, if any.
func (o outer) knowledgeFrom(t testing.TB, seed uint64, rows, screened int64) *Unknown {
	options := KnowledgeOptions{Rows: rows, Confidence: 0.95, Seed: seed, Workers: 1}
	if screened > 0 {
		options.Screen = must(screenOf(context.Background(), o.scenario(t), screened, seed, 1))
	}
	u, err := knowledge(context.Background(), o.scenario(t), atThree, options)
	require.NoError(t, err)
	return u
}

// additive has x + α a + β b: given a and b, the limit is exceeded with
// probability Φ(α a + β b - 3).
func additive(alpha, beta float64) outer {
	return outer{value: func(x, a, b float64) float64 { return x + alpha*a + beta*b }}
}

// additiveTruth is the mean, the median and the 95th percentile of that
// probability.
func additiveTruth(alpha, beta float64) [3]float64 {
	overB := func(f func(b float64) float64) float64 {
		return quad.Fixed(f, -math.Sqrt(3), math.Sqrt(3), 200, nil, 0) / (2 * math.Sqrt(3))
	}
	mean := overB(func(b float64) float64 { return tail((3 - beta*b) / math.Hypot(1, alpha)) })
	quantile := func(p float64) float64 { // of α a + β b, by bisection
		low, high := -9.0, 9.0
		for range 60 {
			middle := (low + high) / 2
			if overB(func(b float64) float64 { return dist.NormalCDF((middle - beta*b) / alpha) }) < p {
				low = middle
			} else {
				high = middle
			}
		}
		return low
	}
	return [3]float64{mean, tail(3 - quantile(0.5)), tail(3 - quantile(0.95))}
}

func (u *Unknown) estimates() [3]sim.Estimate { return [3]sim.Estimate{u.Mixed, u.Median, u.Upper} }

// 40 000 evaluations, against the hundreds of thousands for each of thousands of
// points that nesting takes: sampled values scatter by 4 %.
func TestKnowledgeFindsTheClosedForm(t *testing.T) {
	for _, c := range [][2]float64{{0.5, 0}, {0.3, 0.3}, {1, 0.2}} {
		truth := additiveTruth(c[0], c[1])
		for i, e := range additive(c[0], c[1]).knowledge(t, 1).estimates() {
			assert.InEpsilon(t, truth[i], e.Value, 0.2, "%v, number %d: five times the scatter", c, i)
		}
	}
}

func TestKnowledgeSameBitsForAnyNumberOfWorkers(t *testing.T) {
	scenario := additive(0.4, 0.2).scenario(t)
	o := KnowledgeOptions{Rows: 40_000, Confidence: 0.9, Seed: 5, Workers: 1}
	want, err := knowledge(context.Background(), scenario, atThree, o)
	require.NoError(t, err)
	for _, workers := range []int{2, 7} {
		o.Workers = workers
		got, err := knowledge(context.Background(), scenario, atThree, o)
		require.NoError(t, err)
		assert.Equal(t, want, got, "%d workers", workers)
	}
	assert.Equal(t, []string{"a", "b"}, want.Inputs)
	assert.Equal(t, 0.9, want.Upper.Level)
}

// What cards of a chassis share makes no difference to one card.
func TestKnowledgeOfSharedDraws(t *testing.T) {
	own := additive(0.4, 0.2)
	shared := own
	shared.shared = true
	assert.Equal(t, own.knowledge(t, 1), shared.knowledge(t, 1))
}

func TestAStepIsCountedAsSpread(t *testing.T) {
	step := outer{value: func(x, a, b float64) float64 { return x + 0.3*a + math.Copysign(0.5, b) }}
	u := step.knowledge(t, 1)
	assert.Equal(t, SurfaceMisfit, u.Warnings[0].Code)
	// Half of b lies above the step: the 95th percentile is the 90th of a's there.
	truth := tail(2.5 - 0.3*dist.NormalQuantile(0.9))
	assert.Greater(t, u.Upper.Value, 0.8*truth, "not below, by more than the noise")
	assert.Less(t, u.Upper.Value, 2*truth)
}

func TestKnowledgeThatCannotBeHadIsRefused(t *testing.T) {
	ctx := context.Background()
	o := KnowledgeOptions{Rows: 40_000, Confidence: 0.95}
	scenario := additive(0.4, 0.2).scenario(t)
	normal := must(dist.NewNormal(0, 1))
	variables := func(knowledge ...bool) []sim.Variable {
		var v []sim.Variable
		for i, k := range knowledge {
			v = append(v, sim.Variable{Name: string(rune('a' + i)), Level: sim.Design, Dist: normal, Knowledge: k})
		}
		return v
	}
	for _, c := range []struct {
		variables    []sim.Variable
		correlations []sim.Correlation
		want         error
	}{
		{variables(false, false, false), nil, ErrNoKnowledge},
		{variables(true, true, true), nil, ErrOnlyKnowledge},
		{variables(false, true, true), []sim.Correlation{{A: "a", B: "b", Rank: 0.5}}, ErrMixedSets},
	} {
		inputs, err := sim.NewInputs(c.variables, c.correlations, 1)
		require.NoError(t, err)
		_, err = knowledge(ctx, sim.Scenario{Inputs: inputs, Model: scenario.Model}, atThree, o)
		assert.ErrorIs(t, err, c.want)
	}
	_, err := knowledge(ctx, scenario, sim.Requirement{Output: "y", Limit: 100}, o)
	assert.ErrorIs(t, err, ErrTooRare)
	_, err = knowledge(ctx, scenario, sim.Requirement{Name: "q", Output: "z"}, o)
	assert.ErrorContains(t, err, `no output "z"`)
	stopped, cancel := context.WithCancel(ctx)
	cancel()
	_, err = knowledge(stopped, scenario, atThree, o)
	assert.ErrorIs(t, err, context.Canceled)
	o.Confidence = 0.5
	_, err = knowledge(ctx, scenario, atThree, o)
	assert.ErrorContains(t, err, "above 1/2 and below 1")
}

// Inputs that are not known and correlated with each other are drawn so.
func TestCorrelatedKnowledge(t *testing.T) {
	normal := must(dist.NewNormal(0, 1))
	variables := []sim.Variable{
		{Name: "x", Level: sim.Card, Dist: normal},
		{Name: "a", Level: sim.Design, Dist: normal, Knowledge: true},
		{Name: "b", Level: sim.Design, Dist: normal, Knowledge: true},
	}
	rank := 0.5
	inputs, err := sim.NewInputs(variables, []sim.Correlation{{A: "a", B: "b", Rank: rank}}, 1)
	require.NoError(t, err)
	u, err := knowledge(context.Background(), sim.Scenario{Inputs: inputs, Model: additive(0.4, 0.4)}, atThree,
		KnowledgeOptions{Rows: 40_000, Confidence: 0.95})
	require.NoError(t, err)
	// α (a + b) has the standard deviation α sqrt(2 + 2ρ), ρ = 2 sin(π rank/6).
	together := 0.4 * math.Sqrt(2+2*2*math.Sin(math.Pi*rank/6))
	assert.InEpsilon(t, tail(3-together*dist.NormalQuantile(0.95)), u.Upper.Value, 0.2, "five times the scatter")
}

// A second look is what one look at as many rows is, to the last bits, and evaluates only the
// rows that are new.
func TestLooksAreNested(t *testing.T) {
	evaluated := int64(0)
	plain := additive(0.4, 0.4)
	scenario := outer{value: func(x, a, b float64) float64 { evaluated++; return plain.value(x, a, b) }}.scenario(t)
	for _, screened := range []int64{0, 6000} {
		o := KnowledgeOptions{Confidence: 0.95, Seed: 5, Workers: 1, Bound: true}
		if screened > 0 {
			o.Screen = must(screenOf(context.Background(), scenario, screened, o.Seed, 1))
		}
		look, err := NewKnowledgeLook(context.Background(), scenario, atThree, o)
		require.NoError(t, err)
		first := int64(0)
		for _, rows := range []int64{9_000, 25_000} {
			o.Rows = rows
			once, err := knowledge(context.Background(), scenario, atThree, o)
			require.NoError(t, err)
			evaluated = 0
			again, err := look.Rows(context.Background(), rows)
			require.NoError(t, err)
			assert.Equal(t, once, again, "%d rows after %d", rows, screened)
			if first > 0 {
				assert.Equal(t, once.Evaluations-first, evaluated)
			}
			first = once.Evaluations
		}
	}
}

// A look at the mean alone draws thinly everywhere and so more of some strata than the look at what is not
// known that follows; both keep what was drawn.
func TestMeanAloneBeforeWhatIsNotKnown(t *testing.T) {
	scenario := additive(0.4, 0.4).scenario(t)
	truth := additiveTruth(0.4, 0.4)
	o := KnowledgeOptions{Confidence: 0.95, Seed: 5, Workers: 1, Screen: must(screenOf(context.Background(), scenario, 6000, 5, 1))}
	look, err := NewKnowledgeLook(context.Background(), scenario, atThree, o)
	require.NoError(t, err)
	mean, err := look.Mean(context.Background(), 2e-5)
	require.NoError(t, err)
	assert.LessOrEqual(t, mean.Low, truth[0], "one seed of 40 misses on either side, and this one is fixed")
	assert.GreaterOrEqual(t, mean.High, truth[0])
	assert.Greater(t, mean.N, int64(1/2e-5), "no row stands for more")
	for _, rows := range []int64{9_000, 60_000} {
		u, err := look.Rows(context.Background(), rows)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, u.Mixed.N, mean.N, "rows of both looks")
		assert.InEpsilon(t, truth[2], u.Upper.Value, 0.2, "five times the scatter")
	}
}

// Where the surface leaves nothing out, its misfit is noise: a normal variable of the standard deviation MisfitNoise² cut
// at 0 has a mean of 0.4 of that; the mean of 40 scatters by 0.09 of it, and parts that share rows are taken as independent.
func TestMisfitWithoutOneIsNoise(t *testing.T) {
	sum := 0.0
	const repetitions = 40
	for seed := range uint64(repetitions) {
		u := additive(0.4, 0).knowledge(t, 100+seed)
		sum += u.Misfit * u.Misfit / (u.MisfitNoise * u.MisfitNoise)
	}
	assert.InDelta(t, 0.4, sum/repetitions, 0.3, "three standard errors; twice the noise would show 0.1, half of it 1.6")
}
