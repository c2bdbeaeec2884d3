package strata

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
	_ "clampodds/testdata/fixedseed"
)

func options(relative float64) Options {
	return Options{Relative: relative, Most: 1e6, Confidence: 0.95, Seed: 3}
}

func TestSameBitsForAnyNumberOfWorkers(t *testing.T) {
	o := options(0.1)
	o.Workers = 1
	want := curved.estimate(t, o)
	for _, workers := range []int{2, 7} {
		o.Workers = workers
		assert.Equal(t, want, curved.estimate(t, o), "%d workers", workers)
	}
	o.Seed++
	assert.NotEqual(t, want, curved.estimate(t, o), "the seed matters")
}

func TestALeastValueIsTheMirrorImage(t *testing.T) {
	want, got := curved.estimate(t, options(0.1)), leastValue.estimate(t, options(0.1))
	assert.Equal(t, want.Estimate, got.Estimate, "the same rows")
}

// Strata partition the space: their probabilities add up to 1, and a score drawn
// in one lies in it.
func TestStrataPartitionTheSpace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cuts := rapid.SliceOfNDistinct(rapid.Float64Range(-8, 8), 0, 9, rapid.ID).Draw(t, "cuts")
		floats.Argsort(cuts, make([]int, len(cuts)))
		sum := 0.0
		for _, s := range slice(cuts) {
			sum += s.probability
			u := []float64{rapid.Float64Range(1e-9, 1-1e-9).Draw(t, "u")}
			s.scores(u)
			x := u[0]
			// Scores far out in a probability near 1 have few digits.
			assert.True(t, x >= s.low-1e-6 && x <= s.high+1e-6, "%g in [%g, %g]", x, s.low, s.high)
		}
		assert.InDelta(t, 1, sum, 1e-14)
	})
}

// A stratum moves the score along the direction and leaves the rest as it is:
// the scores across stay standard normal and uncorrelated with it. The bounds are
// 5 standard errors of 20 000 rows, a false alarm once in two million.
func TestOnlyTheScoreAlongTheDirectionMoves(t *testing.T) {
	d := direction{variable: []int{0, 2}, weight: []float64{0.6, -0.8}}
	z := batch.Columns(3, 20_000)
	scores := make([]float64, len(z[0]))
	for i, name := range []string{"a", "b", "c"} {
		stream := sim.NewStream(1, "test", 0, name)
		normal(&stream, z[i])
	}
	stream := sim.NewStream(1, "test", 0, along)
	stream.Fill(scores)
	slice([]float64{1, 2})[1].scores(scores)
	d.move(z, scores)
	along, across := make([]float64, len(z[0])), make([]float64, len(z[0]))
	for r := range along {
		along[r], across[r] = d.along(z, r), 0.8*z[0][r]+0.6*z[2][r]
	}
	assert.GreaterOrEqual(t, floats.Min(along), 1-1e-12)
	assert.LessOrEqual(t, floats.Max(along), 2+1e-12)
	// Mean of the standard normal between 1 and 2, (φ(1)-φ(2))/(Φ(2)-Φ(1)).
	assert.InDelta(t, 1.3831589, stat.Mean(along, nil), 5*0.27/math.Sqrt(20_000))
	for _, other := range [][]float64{across, z[1]} {
		mean, deviation := stat.MeanStdDev(other, nil)
		assert.InDelta(t, 0, mean, 5/math.Sqrt(20_000))
		assert.InDelta(t, 1, deviation, 5/math.Sqrt(2*20_000))
		assert.InDelta(t, 0, stat.Correlation(along, other, nil), 5/math.Sqrt(20_000))
	}
}

func TestFewerRowsThanPlainRandom(t *testing.T) {
	r := curved.estimate(t, options(0.05))
	require.True(t, r.Reached)
	plain := math.Pow(1.96/0.05, 2) / curved.probability
	assert.Less(t, float64(r.Rows), plain/2)
	assert.Greater(t, r.Estimate.EffectiveN, plain)
}

func TestCapIsKept(t *testing.T) {
	o := options(0.03)
	o.Most = 15_000
	r := curved.estimate(t, o)
	assert.False(t, r.Reached)
	assert.LessOrEqual(t, r.Rows, o.Most+int64(len(curved.sample(t, o).strata)*fewestRows))
	assert.Greater(t, r.Needed, r.Rows)
	assert.Greater(t, r.Width, o.Relative)
	o.Most = 2 * r.Needed // the prediction is from a rough estimate
	assert.True(t, curved.estimate(t, o).Reached)
}

// With a pilot no more is drawn where that would not do by far, and what is within reach is drawn as without.
func TestAPilotGivesUpWhatIsOutOfReach(t *testing.T) {
	o := options(1e-4)
	o.Most, o.Pilot = 100_000, 10_000
	r := curved.estimate(t, o)
	assert.True(t, r.GaveUp)
	assert.Less(t, r.Rows, int64(40_000), "the pilot, the small samples and a few rows in each stratum")
	assert.Greater(t, r.Needed, int64(hopeless)*o.Most)
	o.Pilot = 0
	r = curved.estimate(t, o)
	assert.False(t, r.GaveUp)
	assert.Greater(t, r.Rows, int64(95_000), "the cap is there to be used")
	o = options(0.1)
	want := curved.estimate(t, o)
	o.Pilot = 100
	assert.Equal(t, want, curved.estimate(t, o))
}

func TestNeverSeenIsABound(t *testing.T) {
	p := problem{"never", func(x [3]float64) float64 { return x[0] - 40 }, false, 0, 0}
	r := p.estimate(t, options(0.1))
	assert.Zero(t, r.Estimate.Value)
	assert.InEpsilon(t, -math.Log(0.05)/unseenRows, r.Estimate.High, 0.01)
	assert.Equal(t, int64(math.MaxInt64), r.Needed)
	assert.Equal(t, sim.NeverSeen, r.Estimate.Warnings[0].Code)
}

func TestAlwaysSeenIsOne(t *testing.T) {
	p := problem{"always", func(x [3]float64) float64 { return x[0] + 40 }, false, 1, 0}
	r := p.estimate(t, options(0.1))
	assert.InDelta(t, 1, r.Estimate.Value, 1e-12)
	assert.Equal(t, 1.0, r.Estimate.High)
	assert.True(t, r.Reached)
}

func TestConstantOutputHasNoDirection(t *testing.T) {
	p := problem{"constant", func([3]float64) float64 { return 1 }, false, 1, 0}
	s := p.sample(t, options(0.1))
	assert.Empty(t, s.direction.variable)
	assert.Len(t, s.strata, 1)
	assert.Equal(t, 1.0, p.estimate(t, options(0.1)).Estimate.Value)
}

// Most of what exceeds lies where the direction expects nothing.
func TestCollapsedWeightsAreTold(t *testing.T) {
	p := problem{"elsewhere", func(x [3]float64) float64 {
		if x[0] < -2.6 {
			return 1
		}
		return x[0] - 4.5
	}, false, tail(2.6) + tail(4.5), 0}
	o := options(0.3)
	o.Most = 7_000
	r := p.estimate(t, o)
	require.Positive(t, r.Estimate.Value)
	assert.Equal(t, WeightsCollapsed, r.Estimate.Warnings[0].Code)
	assert.LessOrEqual(t, r.Estimate.Low, p.probability)
	assert.GreaterOrEqual(t, r.Estimate.High, p.probability)
}

func TestWrongUseIsRefused(t *testing.T) {
	scenario, q := curved.scenario(t)
	ctx := context.Background()
	for _, relative := range []float64{0, 1, math.NaN()} {
		_, err := Estimate(ctx, scenario, q, options(relative))
		assert.ErrorContains(t, err, "relative half-width")
	}
	q.Output = "no such"
	_, err := Estimate(ctx, scenario, q, options(0.1))
	assert.ErrorContains(t, err, `no output "no such"`)
	q.Output = "y"
	scenario.Inputs, err = sim.NewInputs(nil, nil, 1)
	require.NoError(t, err)
	_, err = Estimate(ctx, scenario, q, options(0.1))
	assert.ErrorIs(t, err, sim.ErrNoRandomInput)
	scenario, _ = curved.scenario(t)
	stopped, cancel := context.WithCancel(ctx)
	cancel()
	_, err = Estimate(stopped, scenario, q, options(0.1))
	assert.ErrorIs(t, err, context.Canceled)
}

func TestProgressReachesTheEnd(t *testing.T) {
	o := options(0.2)
	var done, planned int64
	o.Progress = func(d, p int64) { done, planned = d, p }
	r := curved.estimate(t, o)
	assert.Equal(t, r.Rows, done)
	assert.Equal(t, r.Rows, planned)
}

// Rows without a value are left out of the fit of the direction, whatever their scores.
func TestRowsWithoutAValueAreLeftOut(t *testing.T) {
	z, y := batch.Columns(2, 400), make([]float64, 400)
	for r := range y {
		z[0][r], z[1][r] = dist.NormalQuantile((float64(r)+0.5)/400), dist.NormalQuantile((float64(r*7%400)+0.5)/400)
		if y[r] = 3 + 2*z[0][r] + z[1][r]*z[1][r]*z[1][r]/10; r%5 == 0 {
			y[r], z[0][r] = math.Inf(1), 50
		}
	}
	var kept [3][]float64
	for r, value := range y {
		if r%5 != 0 {
			kept[0], kept[1], kept[2] = append(kept[0], z[0][r]), append(kept[1], z[1][r]), append(kept[2], value)
		}
	}
	fit := func(z [][]float64, y []float64) linear {
		on, scores := newRegression(len(z), len(y))
		for i := range z {
			copy(scores[i], z[i])
		}
		return on.fit(y)
	}
	all, without := fit(z, y), fit(kept[:2], kept[2])
	assert.Equal(t, without.variable, all.variable)
	assert.InEpsilon(t, without.mean, all.mean, 1e-12, "rounding of the sums")
	assert.InEpsilon(t, without.slope, all.slope, 1e-12)
}
