package interval

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat"
)

// Computed from the same equations by an independent program (SciPy 1.10.1's
// noncentral t and quadrature); half a unit of the fourth decimal.
func TestNormalToleranceTables(t *testing.T) {
	oneSided := [][2]float64{{.90, .95}, {.95, .95}, {.99, .95}, {.9973, .95}, {.999, .95}, {.95, .90}, {.99, .90}}
	twoSided := [][2]float64{{.90, .95}, {.95, .95}, {.99, .95}, {.9973, .95}}
	for _, row := range []struct {
		n        int
		one, two []float64
	}{
		{5, []float64{3.4066, 4.2027, 5.7411, 6.7887, 7.5019, 3.3998, 4.6660}, []float64{4.2906, 5.0769, 6.5980, 7.6368}},
		{6, []float64{3.0063, 3.7077, 5.0620, 5.9840, 6.6118, 3.0919, 4.2425}, []float64{3.7326, 4.4222, 5.7577, 6.6706}},
		{8, []float64{2.5819, 3.1873, 4.3539, 5.1474, 5.6875, 2.7543, 3.7825}, []float64{3.1560, 3.7455, 4.8892, 5.6720}},
		{10, []float64{2.3546, 2.9110, 3.9811, 4.7084, 5.2033, 2.5684, 3.5317}, []float64{2.8563, 3.3934, 4.4369, 5.1518}},
		{12, []float64{2.2101, 2.7363, 3.7471, 4.4334, 4.9003, 2.4483, 3.3707}, []float64{2.6703, 3.1747, 4.1555, 4.8280}},
		{15, []float64{2.0684, 2.5660, 3.5201, 4.1674, 4.6074, 2.3290, 3.2118}, []float64{2.4922, 2.9649, 3.8853, 4.5168}},
		{20, []float64{1.9260, 2.3960, 3.2952, 3.9043, 4.3182, 2.2078, 3.0515}, []float64{2.3188, 2.7603, 3.6210, 4.2121}},
		{30, []float64{1.7773, 2.2198, 3.0639, 3.6346, 4.0222, 2.0798, 2.8837}, []float64{2.1451, 2.5549, 3.3546, 3.9044}},
		{50, []float64{1.6456, 2.0650, 2.8624, 3.4006, 3.7656, 1.9653, 2.7349}, []float64{1.9990, 2.3816, 3.1288, 3.6430}},
		{100, []float64{1.5267, 1.9265, 2.6840, 3.1939, 3.5395, 1.8613, 2.6009}, []float64{1.8748, 2.2339, 2.9355, 3.4187}},
	} {
		for i, want := range row.one {
			assert.InDelta(t, want, NormalToleranceOneSided(row.n, oneSided[i][0], oneSided[i][1]), 5.1e-5, "n = %d, %v", row.n, oneSided[i])
		}
		for i, want := range row.two {
			assert.InDelta(t, want, NormalToleranceTwoSided(row.n, twoSided[i][0], twoSided[i][1]), 5.1e-5, "n = %d, %v", row.n, twoSided[i])
		}
	}
}

// Coverage 1/2 makes the noncentral t central: k sqrt(n) is Student's quantile.
// For n = 2 the factor has the extreme spread the integral must resolve.
func TestNormalToleranceCentral(t *testing.T) {
	for _, n := range []int{2, 3, 12, 1000, 100_000} {
		for _, confidence := range []float64{0.6, 0.95, 0.999} {
			want := StudentTUpper(1-confidence, float64(n-1)) / math.Sqrt(float64(n))
			// 1e-9: quadrature, divided by the confidence's small slope in the tail.
			assert.InEpsilon(t, want, NormalToleranceOneSided(n, 0.5, confidence), 1e-9, "n = %d, %v", n, confidence)
		}
	}
}

func TestNormalTailInvertsTolerance(t *testing.T) {
	for _, coverage := range []float64{0.6, 0.99, 1 - 1e-6} {
		k := NormalToleranceOneSided(12, coverage, 0.95)
		assert.InEpsilon(t, 1-coverage, NormalTailUpper(12, k, 0.95), 1e-8, "%v", coverage)
	}
	assert.Panics(t, func() { NormalTailUpper(12, math.NaN(), 0.95) })
	assert.Panics(t, func() { NormalToleranceTwoSided(1, 0.9, 0.9) })
}

// The factors do what they promise: 4 standard errors of 4000 samples, false
// alarm 6e-5 each.
func TestNormalToleranceByRepetition(t *testing.T) {
	const n, runs = 12, 4000
	one, two := NormalToleranceOneSided(n, 0.95, 0.95), NormalToleranceTwoSided(n, 0.95, 0.95)
	random := rand.New(rand.NewPCG(3, 0))
	x := make([]float64, n)
	oneHits, twoHits := 0, 0
	for range runs {
		for i := range x {
			x[i] = random.NormFloat64()
		}
		mean, s := stat.MeanStdDev(x, nil)
		if math.Erfc(-(mean+one*s)/math.Sqrt2)/2 >= 0.95 {
			oneHits++
		}
		if (math.Erf((mean+two*s)/math.Sqrt2)-math.Erf((mean-two*s)/math.Sqrt2))/2 >= 0.95 {
			twoHits++
		}
	}
	assert.InDelta(t, 0.95, float64(oneHits)/runs, 4*proportionError(0.95, runs))
	assert.InDelta(t, 0.95, float64(twoHits)/runs, 4*proportionError(0.95, runs))
}
