package sim

import (
	"context"
	"errors"
	"math"
	"runtime"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// chassis is a model of a chassis of cards: a temperature, infinite when the
// gap leaves the range of the clamp, and an event.
type chassis struct{ shift float64 }

func (chassis) Outputs() []Output {
	return []Output{{Name: "edge", Unit: "K", Bin: 0.01}, {Name: "misfit", Unit: "1"}}
}

func (c chassis) Evaluate(x, y [][]float64) {
	for r := range y[0] {
		y[0][r], y[1][r] = x[0][r]+x[1][r]+c.shift, 0
		if x[1][r] > 2.5 {
			y[0][r], y[1][r] = math.Inf(1), 1
		}
	}
}

func chassisRun(t testing.TB, sampler Sampler, workers int) Run {
	inputs := newInputs(t, 4, shared("plate", normal(60, 3)), variable("gap", normal(0, 1)))
	requirements := []Requirement{{Name: "edge limit", Output: "edge", Limit: 65, Target: 0.1}}
	return Run{
		Scenarios: []Scenario{
			{Name: "base", Inputs: inputs, Model: chassis{}, Requirements: requirements},
			{Name: "hot", Inputs: inputs, Model: chassis{shift: 1}, Requirements: requirements},
		},
		Sampler: sampler, Seed: 7, Samples: 20_001, BlockRows: 514, Workers: workers, Confidence: 0.95,
	}
}

// stripScratch forgets what is not part of a result.
func stripScratch(r *Result) *Result {
	for _, s := range r.Scenarios {
		for _, q := range s.Quantities {
			q.Histogram.scratch = nil
		}
	}
	return r
}

func TestSameBitsForAnyNumberOfWorkers(t *testing.T) {
	for _, sampler := range []Sampler{Random{}, LatinHypercube{}, Halton{}} {
		want := stripScratch(execute(t, chassisRun(t, sampler, 1)))
		for _, workers := range []int{1, 2, 7} {
			got := stripScratch(execute(t, chassisRun(t, sampler, workers)))
			assert.Equal(t, want, got, "%s, %d workers", sampler.Name(), workers)
		}
		other := chassisRun(t, sampler, 1)
		other.Seed++
		assert.NotEqual(t, want, stripScratch(execute(t, other)), "the seed matters")
	}
}

func TestRunCountsAddUp(t *testing.T) {
	r := execute(t, chassisRun(t, Random{}, 2))
	assert.Equal(t, int64(20_004), r.Rows, "whole groups of 4")
	assert.Equal(t, int64(5_001), r.Groups)
	assert.Equal(t, 512, r.InAny[0].layout.blockRows)
	assert.Equal(t, SamplesRounded, r.Warnings[0].Code)
	assert.True(t, r.Complete)

	base, hot := r.Scenarios[0], r.Scenarios[1]
	_, infinite := base.Quantities[0].Histogram.Infinite()
	assert.Equal(t, base.Events[0].Rows(), infinite)
	assert.Equal(t, r.Rows, base.Quantities[0].Histogram.Finite()+infinite)

	pair := r.Pairs[0].Exceedances[0]
	assert.Equal(t, base.Requirements[0].Exceeded.Rows(), pair.Both+pair.OnlyFirst)
	assert.Equal(t, hot.Requirements[0].Exceeded.Rows(), pair.Both+pair.OnlyOther)
	assert.Equal(t, r.Rows, pair.Both+pair.OnlyFirst+pair.OnlyOther+pair.Neither)
	assert.Zero(t, pair.OnlyFirst, "the hotter scenario exceeds whenever the cooler does")
	assert.Equal(t, hot.Requirements[0].Exceeded, r.InAny[0])
	assert.LessOrEqual(t, base.Requirements[0].Exceeded.Groups(), base.Requirements[0].Exceeded.Rows())
}

// The exceedances of +Inf count for limits on either side.
func TestNoValueExceedsEveryLimit(t *testing.T) {
	upper, lower := Requirement{Limit: 5}, Requirement{Limit: 5, Below: true}
	for y, want := range map[float64][2]bool{
		4:             {false, true},
		5:             {false, false},
		6:             {true, false},
		math.Inf(1):   {true, true},
		math.Inf(-1):  {false, true},
		math.MaxInt64: {true, false},
	} {
		assert.Equal(t, want, [2]bool{upper.Exceeded(y), lower.Exceeded(y)}, "y = %v", y)
	}
}

// Common draws: what a variable gets depends on nothing but its name.
func TestDrawsStayAlignedWhenInputsComeAndGo(t *testing.T) {
	column := func(sampler Sampler, rowsPerGroup int, vars ...Variable) map[string][]float64 {
		columns := map[string][]float64{}
		inputs := newInputs(t, rowsPerGroup, vars...)
		execute(t, Run{
			Scenarios: []Scenario{{Name: "s", Inputs: inputs, Model: formula{1, sum}}},
			Sampler:   sampler, Seed: 3, Samples: 320, BlockRows: 32, Confidence: 0.9,
			Draws: func(_ int64, _ int, x, _ [][]float64) error {
				for i, v := range vars {
					columns[v.Name] = append(columns[v.Name], x[i]...)
				}
				return nil
			},
		})
		return columns
	}
	a, b, c := variable("a", normal(0, 1)), shared("b", normal(0, 1)), variable("c", uniform(0, 1))
	for _, sampler := range []Sampler{Random{}, LatinHypercube{}} {
		full := column(sampler, 4, a, b, c)
		assert.Equal(t, full["a"], column(sampler, 4, a)["a"])
		assert.Equal(t, full["c"], column(sampler, 4, c, b)["c"])
		assert.Equal(t, full["b"], column(sampler, 4, b)["b"])
		for r, value := range full["b"] {
			require.Equal(t, full["b"][r-r%4], value, "one draw for the chassis")
		}
		own := column(sampler, 4, variable("b", normal(0, 1)))
		for r := 0; r < len(own["b"]); r += 4 {
			require.Equal(t, full["b"][r], own["b"][r], "the first card's draw is the shared one")
		}
	}
}

// Two scenarios on common draws: variables of one name agree, whatever else
// their inputs hold and in whatever order, for every sampler.
func TestScenariosShareDraws(t *testing.T) {
	first := newInputs(t, 2, variable("a", normal(0, 1)), shared("b", normal(0, 1)))
	second := newInputs(t, 2, variable("new", uniform(0, 1)), shared("b", normal(0, 1)), variable("a", normal(0, 1)))
	for _, sampler := range []Sampler{Random{}, LatinHypercube{}, Halton{}} {
		var a, b [2][]float64
		execute(t, Run{
			Scenarios: []Scenario{{Name: "1", Inputs: first, Model: formula{1, sum}}, {Name: "2", Inputs: second, Model: formula{1, sum}}},
			Sampler:   sampler, Samples: 320, BlockRows: 32, Confidence: 0.9,
			Draws: func(_ int64, scenario int, x, _ [][]float64) error {
				at := []int{0, 2}[scenario]
				a[scenario] = append(a[scenario], x[at]...)
				b[scenario] = append(b[scenario], x[1]...)
				return nil
			},
		})
		assert.Equal(t, a[0], a[1], sampler.Name())
		assert.Equal(t, b[0], b[1], sampler.Name())
		assert.NotEqual(t, a[0], b[0])
	}
}

func TestDrawsComeInOrder(t *testing.T) {
	r := chassisRun(t, Random{}, 7)
	var blocks []int64
	var scenarios []int
	rows := 0
	r.Draws = func(block int64, scenario int, x, y [][]float64) error {
		blocks, scenarios = append(blocks, block), append(scenarios, scenario)
		require.Len(t, x, 2)
		require.Len(t, y, 2)
		rows += len(x[0])
		return nil
	}
	result := execute(t, r)
	for i := range blocks {
		require.Equal(t, int64(i/2), blocks[i])
		require.Equal(t, i%2, scenarios[i])
	}
	assert.Equal(t, 2*int(result.Rows), rows)
}

func TestDrawsErrorEndsTheRun(t *testing.T) {
	full := errors.New("disk full")
	for _, workers := range []int{1, 7} {
		r := chassisRun(t, Random{}, workers)
		r.Draws = func(block int64, _ int, _, _ [][]float64) error {
			if block >= 3 {
				return full
			}
			return nil
		}
		_, err := r.Execute(context.Background())
		assert.ErrorIs(t, err, full)
	}
}

func TestProgressReachesTheEnd(t *testing.T) {
	r := chassisRun(t, Random{}, 3)
	last := int64(0)
	r.Progress = func(done, total int64) {
		assert.Greater(t, done, last)
		assert.Equal(t, int64(20_004), total)
		last = done
	}
	execute(t, r)
	assert.Equal(t, int64(20_004), last)
}

// A cancelled run is the run of its first blocks.
func TestCancelledRunHoldsThePrefix(t *testing.T) {
	for _, workers := range []int{1, 3} {
		ctx, cancel := context.WithCancel(context.Background())
		r := chassisRun(t, Random{}, workers)
		r.Progress = func(done, total int64) {
			if done > total/3 {
				cancel()
			}
		}
		got, err := r.Execute(ctx)
		require.NoError(t, err)
		assert.False(t, got.Complete)
		assert.Equal(t, Stopped, got.Warnings[0].Code)
		require.Less(t, got.Rows, int64(20_004))

		short := chassisRun(t, Random{}, 1)
		short.Samples = got.Rows
		want := execute(t, short)
		for s := range want.Scenarios { // the points of a trace lie where the run was to end
			want.Scenarios[s].Requirements[0].trace, got.Scenarios[s].Requirements[0].trace = nil, nil
		}
		assert.Equal(t, stripScratch(want).Scenarios, stripScratch(got).Scenarios)
	}
}

func TestCancelledBeforeTheFirstBlock(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	r := chassisRun(t, Random{}, 2)
	result, err := r.Execute(ctx)
	require.NoError(t, err)
	assert.Zero(t, result.Rows)
	p := result.Scenarios[0].Quantities[0].Percentile(0.5)
	assert.True(t, math.IsNaN(p.Value) && math.IsInf(p.Low, -1) && math.IsInf(p.High, 1))
	assert.Equal(t, NothingCounted, p.Warnings[0].Code)
	e := result.Scenarios[0].Requirements[0]
	assert.Equal(t, 1.0, e.Exceeded.PerGroup().High)
	assert.Equal(t, Undecided, e.Verdict())
}

func TestNaNOutputIsAnError(t *testing.T) {
	for _, workers := range []int{1, 7} {
		r := Run{
			Scenarios: []Scenario{{Name: "s", Inputs: newInputs(t, 1, variable("a", uniform(0, 1))), Model: formula{1, func(x []float64) float64 {
				if x[0] > 0.9999 {
					return math.NaN()
				}
				return x[0]
			}}}},
			Sampler: Random{}, Samples: 100_000, BlockRows: 100, Workers: workers, Confidence: 0.9,
		}
		_, err := r.Execute(context.Background())
		assert.EqualError(t, err, `scenario "s": output "y" is NaN in block 138, row 45 of the block`, "the same one for any number of workers")
	}
}

func TestExceededInAnyScenario(t *testing.T) {
	r := chassisRun(t, Random{}, 2)
	cold := r.Scenarios[0]
	cold.Name, cold.Model = "cold", chassis{shift: -1}
	unlike := cold
	unlike.Name, unlike.Requirements = "unlike", []Requirement{{Name: "another limit", Output: "edge", Limit: 0}}
	r.Scenarios = append(r.Scenarios, cold, unlike)
	result := execute(t, r)
	assert.Equal(t, result.Scenarios[1].Requirements[0].Exceeded, result.InAny[0], "the hottest scenario has them all")
	assert.Len(t, result.Pairs[1].Exceedances, 1)
	assert.Empty(t, result.Pairs[2].Exceedances, "no requirement of a common name")
}

// A pair is the same whatever else is in the run, and wherever.
func TestAllPairs(t *testing.T) {
	r := chassisRun(t, Random{}, 2)
	cold := r.Scenarios[0]
	cold.Name, cold.Model = "cold", chassis{shift: -1}
	r.Scenarios = append(r.Scenarios, cold)
	few := stripScratch(execute(t, r)).Pairs
	r.AllPairs = true
	all := stripScratch(execute(t, r))
	assert.Equal(t, few, all.Pairs[:2])
	r.Scenarios = r.Scenarios[1:]
	later := stripScratch(execute(t, r))
	assert.Equal(t, later.Pairs, all.Pairs[2:])
	assert.Equal(t, "hot", all.Pairs[2].First)
}

func TestLimitsOnlyCountsTheSame(t *testing.T) {
	r := chassisRun(t, Random{}, 2)
	whole := execute(t, r)
	r.LimitsOnly = true
	limits := execute(t, r)
	for i := range whole.Scenarios {
		assert.Empty(t, limits.Scenarios[i].Quantities)
		assert.Empty(t, limits.Scenarios[i].Events)
		assert.Equal(t, whole.Scenarios[i].Requirements, limits.Scenarios[i].Requirements)
	}
	assert.Equal(t, whole.InAny, limits.InAny)
}

func TestOnlySomeOutputsAreKept(t *testing.T) {
	r := chassisRun(t, Random{}, 2)
	whole := stripScratch(execute(t, r))
	for _, one := range whole.Scenarios[0].Quantities {
		r.Only = []string{one.Output.Name}
		some := stripScratch(execute(t, r))
		for i, s := range some.Scenarios {
			assert.Len(t, s.Quantities, 1)
			assert.Contains(t, whole.Scenarios[i].Quantities, s.Quantities[0])
			assert.Empty(t, s.Events)
			assert.Equal(t, whole.Scenarios[i].Requirements, s.Requirements)
		}
	}
}

func TestModelPanicReachesTheCaller(t *testing.T) {
	var rows atomic.Int64
	r := Run{
		Scenarios: []Scenario{{Name: "s", Inputs: newInputs(t, 1, variable("a", uniform(0, 1))), Model: formula{1, func([]float64) float64 {
			if rows.Add(1) == 5000 {
				panic("model bug")
			}
			return 0
		}}}},
		Sampler: Random{}, Samples: 100_000, Workers: 2, Confidence: 0.9,
	}
	defer func() { assert.Contains(t, recover(), "model bug") }()
	_, _ = r.Execute(context.Background())
	t.Error("no panic")
}

func TestInvalidRunsAreRefused(t *testing.T) {
	change := func(f func(r *Run)) error {
		r := chassisRun(t, Random{}, 1)
		r.Scenarios = append([]Scenario(nil), r.Scenarios...)
		f(&r)
		_, err := r.Execute(context.Background())
		return err
	}
	require := func(f func(q *Requirement)) func(r *Run) {
		return func(r *Run) {
			q := r.Scenarios[1].Requirements[0]
			f(&q)
			r.Scenarios[1].Requirements = []Requirement{q}
		}
	}
	for text, f := range map[string]func(r *Run){
		"no scenario":                        func(r *Run) { r.Scenarios = nil },
		"no sampling plan":                   func(r *Run) { r.Sampler = nil },
		"samples: 0":                         func(r *Run) { r.Samples = 0 },
		"samples: 1000000000000":             func(r *Run) { r.Samples = 1e12 },
		"confidence: NaN":                    func(r *Run) { r.Confidence = math.NaN() },
		"confidence: 1":                      func(r *Run) { r.Confidence = 1 },
		"must not be negative":               func(r *Run) { r.Workers = -1 },
		`duplicate scenario "base"`:          func(r *Run) { r.Scenarios[1].Name = "base" },
		"inputs or model missing":            func(r *Run) { r.Scenarios[1].Inputs = nil },
		"1 rows in a group":                  func(r *Run) { r.Scenarios[1].Inputs = newInputs(t, 1, r.Scenarios[1].Inputs.Variables()...) },
		`no output "hotter"`:                 require(func(q *Requirement) { q.Output = "hotter" }),
		"limit NaN":                          require(func(q *Requirement) { q.Limit = math.NaN() }),
		"target probability 1":               require(func(q *Requirement) { q.Target = 1 }),
		`duplicate requirement "edge limit"`: func(r *Run) { q := r.Scenarios[1].Requirements; r.Scenarios[1].Requirements = append(q[:1:1], q[0]) },
		"impossible bin width":               func(r *Run) { r.Scenarios[1].Model = formula{bin: -1} },
		"needs at least 10": func(r *Run) {
			r.Sampler = LatinHypercube{}
			r.BlockRows, r.Samples = 1000, 9000
		},
	} {
		err := change(f)
		assert.ErrorContains(t, err, text)
	}
}

// Memory does not grow with the number of rows or workers: only histogram
// pages do, with the range of what was met.
func TestMemoryIsBounded(t *testing.T) {
	if testing.Short() {
		t.Skip("ten million rows")
	}
	allocated := func(samples int64) float64 {
		r := Run{
			Scenarios: []Scenario{{
				Name: "s", Model: trivial{1},
				Inputs:       newInputs(t, 1, variable("a", normal(80, 5))),
				Requirements: []Requirement{{Name: "limit", Output: "y", Limit: 95}},
			}},
			Sampler: Random{}, Samples: samples, Workers: 2, Confidence: 0.95,
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		result := execute(t, r)
		runtime.ReadMemStats(&after)
		assert.Equal(t, samples, result.Rows)
		return float64(after.TotalAlloc - before.TotalAlloc)
	}
	few, many := allocated(100_000), allocated(10_000_000)
	t.Logf("bytes allocated in all: %.3g and %.3g", few, many)
	// The range of normal values grows from 4.3 to 5.2 standard deviations: a quarter more
	// pages, each for values and squares. What the goroutines of the two workers allocate
	// scatters by a tenth from run to run. Twice as much would be a byte for every fifty rows.
	assert.Less(t, many, 2*few)
	assert.Less(t, many, 20e6)
}
