package acceptance

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"clampodds/reports/validation"
	_ "clampodds/testdata/fixedseed"
)

func plan(t require.TestingT, n, c int64) Plan {
	p, err := NewPlan(n, c)
	require.NoError(t, err)
	return p
}

var defectives = []float64{.001, .005, .01, .02, .05, .10}

func TestOutsideAcceptanceSampling(t *testing.T) {
	var cases []validation.Case
	add := func(name, source string, standing validation.Standing, want, got, absolute float64, reason string) {
		cases = append(cases, validation.Case{
			Name: name, Source: source, Standing: standing, Expected: want, Obtained: got, Absolute: absolute, Reason: reason,
		})
	}
	const (
		iso   = "ISO 2859-1:1999, letter J, Ac 2 (single sampling, normal inspection)"
		scipy = "binomial sums, SciPy 1.10.1"
	)
	j := plan(t, 80, 2)
	add("defectives accepted with 95 %, (80, 2)", iso, validation.FromMemory, 0.0103, j.Quality(.95), 5e-5, "two decimals of a percentage")
	add("defectives accepted with 10 %, (80, 2)", iso, validation.FromMemory, 0.0652, j.Quality(.10), 5e-5, "two decimals of a percentage")
	for i, want := range []float64{.999922, .992288, .953447, .784419, .230621, .010684} {
		add(fmt.Sprintf("Pa(%g %%), (80, 2)", 100*defectives[i]), scipy, validation.Computed,
			want, j.Probability(defectives[i]), 5.1e-7, "half a unit of the sixth decimal")
	}
	add("Pa of a lot of 1000 with 20 defectives, (80, 2)", "hypergeometric sum, SciPy 1.10.1", validation.Computed,
		.7892471363, j.ProbabilityInLot(1000, 20), 5.1e-11, "half a unit of the tenth decimal")
	for _, c := range []struct {
		good, poor float64
		n, c       int64
	}{{.01, .05, 132, 3}, {.01, .08, 65, 2}, {.005, .02, 462, 5}, {.02, .08, 98, 4}, {.001, .01, 531, 2}} {
		got, err := SmallestPlan(Risks{Good: c.good, Producer: .05, Poor: c.poor, Consumer: .10})
		require.NoError(t, err)
		name := fmt.Sprintf("smallest plan for %g %% (α 5 %%) and %g %% (β 10 %%)", 100*c.good, 100*c.poor)
		add(name+", n", "search over binomial sums, SciPy 1.10.1", validation.Computed, float64(c.n), float64(got.Sample()), 0.1, "a whole number")
		add(name+", Ac", "search over binomial sums, SciPy 1.10.1", validation.Computed, float64(c.c), float64(got.Accept()), 0.1, "a whole number")
	}
	validation.Check(t, "Acceptance sampling", cases)
}

// Computed from binomial sums by an independent program (SciPy 1.10.1); half a
// unit of the last decimal printed.
func TestTable(t *testing.T) {
	probabilities := []float64{.95, .50, .10, .05}
	for _, row := range []struct {
		n, c                 int64
		probability, percent []float64
	}{
		{13, 0, []float64{.987078, .936915, .877521, .769022, .513342, .254187}, []float64{.3938, 5.1922, 16.2322, 20.5817}},
		{32, 0, []float64{.968491, .851802, .724980, .523883, .193711, .034337}, []float64{.1602, 2.1428, 6.9428, 8.9368}},
		{59, 0, []float64{.942679, .743981, .552683, .303626, .048495, .001997}, []float64{.0869, 1.1680, 3.8275, 4.9508}},
		{50, 1, []float64{.998814, .973868, .910565, .735771, .279432, .033786}, []float64{.7154, 3.3340, 7.5581, 9.1398}},
		{80, 1, []float64{.997000, .938853, .809158, .522974, .086054, .002160}, []float64{.4460, 2.0891, 4.7752, 5.7929}},
		{80, 2, []float64{.999922, .992288, .953447, .784419, .230621, .010684}, []float64{1.0298, 3.3285, 6.5160, 7.6611}},
		{125, 3, []float64{.999991, .996252, .962551, .758670, .123785, .001042}, []float64{1.1003, 2.9298, 5.2663, 6.0859}},
		{200, 5, []float64{1.000000, .999436, .983977, .786722, .062342, .000039}, []float64{1.3144, 2.8303, 4.5879, 5.1843}},
	} {
		p := plan(t, row.n, row.c)
		for i, want := range row.probability {
			assert.InDelta(t, want, p.Probability(defectives[i]), 5.1e-7, "%s, %g", p, defectives[i])
		}
		for i, want := range row.percent {
			assert.InDelta(t, want, 100*p.Quality(probabilities[i]), 5.1e-5, "%s, %g", p, probabilities[i])
		}
	}
}

// The hypergeometric sum in exact integers.
func TestProbabilityInLotExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lot := rapid.Int64Range(1, 400).Draw(t, "lot")
		defectives := rapid.Int64Range(0, lot).Draw(t, "defectives")
		n := rapid.Int64Range(1, lot).Draw(t, "n")
		c := rapid.Int64Range(0, n-1).Draw(t, "c")
		sum := new(big.Int)
		for k := int64(0); k <= c; k++ {
			var a, b big.Int
			if n-k <= lot-defectives {
				sum.Add(sum, a.Mul(a.Binomial(defectives, k), b.Binomial(lot-defectives, n-k)))
			}
		}
		want, _ := new(big.Rat).SetFrac(sum, new(big.Int).Binomial(lot, n)).Float64()
		got := plan(t, n, c).ProbabilityInLot(lot, defectives)
		// 1e-12: up to 400 rounded ratios; below 1e-250 terms may underflow.
		assert.InDelta(t, want, got, 1e-12*want+1e-250)
	})
}

func TestLargeLotIsBinomial(t *testing.T) {
	// The relative difference is of the order n²p/N = 3e-7.
	p := plan(t, 80, 2)
	assert.InEpsilon(t, p.Probability(.05), p.ProbabilityInLot(1e9, 5e7), 1e-6)
}

func TestQualityInvertsProbability(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 1e6).Draw(t, "n")
		p := plan(t, n, rapid.Int64Range(0, min(n-1, 50)).Draw(t, "c"))
		pa := rapid.Float64Range(1e-6, 0.999).Draw(t, "Pa")
		requireInverse(t, p, pa)
	})
}

// Nearly all may be defective: the share is 1 - 2e-8, and the nearest float64 is up
// to 3e-9 of the rest away.
func TestQualityCloseToOne(t *testing.T) {
	requireInverse(t, plan(t, 49, 48), 1e-6)
}

// requireInverse checks that the float64 beside the quality, on either side, are
// accepted with less and with more than the probability, within 1e-9 relative, which
// is what the search leaves.
func requireInverse(t require.TestingT, p Plan, probability float64) {
	q := p.Quality(probability)
	require.LessOrEqual(t, p.Probability(math.Nextafter(q, 1)), probability*(1+1e-9), "%s at %v", p, q)
	require.GreaterOrEqual(t, p.Probability(math.Nextafter(q, 0)), probability*(1-1e-9), "%s at %v", p, q)
}

// No smaller sample with any acceptance number keeps both risks.
func TestSmallestPlanIsSmallest(t *testing.T) {
	r := Risks{Good: .01, Producer: .05, Poor: .08, Consumer: .10}
	best, err := SmallestPlan(r)
	require.NoError(t, err)
	for n := int64(1); n < best.Sample(); n++ {
		for c := int64(0); c < n; c++ {
			p := plan(t, n, c)
			assert.False(t, p.Probability(r.Good) >= .95 && p.Probability(r.Poor) <= .10, "%s", p)
		}
	}
}

// Repetition: 4 standard errors of 20 000 lots, false alarm 6e-5.
func TestProbabilityByRepetition(t *testing.T) {
	const lots = 20_000
	random := rand.New(rand.NewPCG(6, 0))
	p, accepted := plan(t, 50, 1), 0
	for range lots {
		bad := int64(0)
		for range p.Sample() {
			if random.Float64() < .03 {
				bad++
			}
		}
		if bad <= p.Accept() {
			accepted++
		}
	}
	want := p.Probability(.03)
	assert.InDelta(t, want, float64(accepted)/lots, 4*math.Sqrt(want*(1-want)/lots))
}

func TestInvalid(t *testing.T) {
	for _, c := range [][2]int64{{0, 0}, {-5, 0}, {5, 5}, {5, -1}} {
		_, err := NewPlan(c[0], c[1])
		assert.Error(t, err, "%v", c)
	}
	nan := math.NaN()
	for _, r := range []Risks{
		{0, .05, .05, .1},
		{.05, .05, .05, .1},
		{.01, 0, .05, .1},
		{.01, .05, 1, .1},
		{.01, .05, .05, .95},
		{.01, .05, .05, 0},
		{nan, .05, .05, .1},
		{.01, nan, .05, .1},
		{.01, .05, nan, .1},
		{.01, .05, .05, nan},
	} {
		_, err := SmallestPlan(r)
		assert.Error(t, err, "%v", r)
	}
	_, err := SmallestPlan(Risks{Good: .5, Producer: .01, Poor: .501, Consumer: .01})
	assert.ErrorContains(t, err, "too close")
	p := plan(t, 80, 2)
	assert.Equal(t, "n = 80, Ac 2", p.String())
	assert.Panics(t, func() { p.ProbabilityInLot(79, 1) })
	assert.Panics(t, func() { p.ProbabilityInLot(100, 101) })
	assert.Panics(t, func() { p.Probability(nan) })
	assert.Panics(t, func() { p.Quality(0) })
}
