package interval

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"clampodds/reports/validation"
)

// The rate of Down's syndrome among children born fifth or later, Michigan
// 1950-1964, standardised to all births: Fay & Feuer 1997, Table II.
func weightedCases() []validation.Case {
	cases := []float64{0, 8, 63, 112, 262, 295}
	births := []float64{327, 30666, 123419, 149919, 104088, 34392}
	standard := []float64{319933, 931318, 786511, 488235, 237863, 61313}
	all, sum, squares, largest := 0.0, 0.0, 0.0, 0.0
	for _, s := range standard {
		all += s
	}
	for i, k := range cases {
		w := 1e5 * standard[i] / all / births[i]
		sum, squares, largest = sum+w*k, squares+w*w*k, math.Max(largest, w)
	}
	low, high := WeightedCounts(sum, squares, largest, 0.95)
	return ends("weighted counts, rate per 100 000", "Fay & Feuer, Statist. Med. 16 (1997) 791, Table II; printed digits of an open statistics package", validation.Published, 5e-6, 67.70212, 188.30017, low, high)
}

// Equal weights give the exact interval of a Poisson count (Garwood 1936).
func TestEqualWeightsAreAPoissonCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := float64(rapid.IntRange(1, 3000).Draw(t, "k"))
		w := rapid.Float64Range(1e-9, 1e3).Draw(t, "w")
		low, high := WeightedCounts(w*k, w*w*k, w, 0.9)
		// P(X >= k; low) and P(X <= k; high) are 5 % each.
		assert.InEpsilon(t, 0.05, distuv.Poisson{Lambda: low / w}.Survival(k-1), 1e-6)
		assert.InEpsilon(t, 0.05, distuv.Poisson{Lambda: high / w}.CDF(k), 1e-6)
	})
}

func TestNothingCountedIsAOneSidedBound(t *testing.T) {
	low, high := WeightedCounts(0, 0, 2, 0.95)
	assert.Zero(t, low)
	assert.InEpsilon(t, 2*math.Log(20), high, 1e-14)
}

// Coverage by repetition, unseen events of great weight included: 1000
// repetitions, never more than 3 standard errors (2.1 %) below 95 %, a false
// alarm once in 700. Expected counts and weights are those of strata that a tail
// is drawn from, and worse.
func TestWeightedCountsCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("many repetitions")
	}
	const repetitions = 1000
	random := rand.New(rand.NewPCG(1, 2))
	for _, c := range []struct{ weight, expected []float64 }{
		{[]float64{1, 0.1, 0.01}, []float64{0.3, 20, 800}},
		{[]float64{1, 0.1, 0.01}, []float64{3, 2, 50}},
		{[]float64{1, 1, 1, 1, 0.001}, []float64{0.1, 0.1, 0.1, 0.1, 300}},
		{[]float64{1, 0.03}, []float64{0.02, 4}},
		{[]float64{1, 0.5, 0.2}, []float64{100, 50, 200}},
	} {
		truth, largest := 0.0, 0.0
		for i, w := range c.weight {
			truth, largest = truth+w*c.expected[i], math.Max(largest, w)
		}
		covered := 0.0
		for range repetitions {
			sum, squares := 0.0, 0.0
			for i, w := range c.weight {
				k := distuv.Poisson{Lambda: c.expected[i], Src: random}.Rand()
				sum, squares = sum+w*k, squares+w*w*k
			}
			if low, high := WeightedCounts(sum, squares, largest, 0.95); low <= truth && truth <= high {
				covered += 1. / repetitions
			}
		}
		assert.GreaterOrEqual(t, covered, 0.95-3*math.Sqrt(0.95*0.05/repetitions), "%v", c)
		t.Logf("weights %v, expected counts %v: coverage %.3f", c.weight, c.expected, covered)
	}
}

func TestImpossibleWeightedCountsPanic(t *testing.T) {
	for _, c := range [][4]float64{{-1, 1, 1, 0.9}, {1, 0, 1, 0.9}, {0, 1, 1, 0.9}, {1, 1, 0, 0.9}, {1, 1, 1, 1}, {math.NaN(), 1, 1, 0.9}} {
		assert.Panics(t, func() { WeightedCounts(c[0], c[1], c[2], c[3]) }, "%v", c)
	}
}
