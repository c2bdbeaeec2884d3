package assurance

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/dist"
	"clampodds/sim/interval"
)

// simulated makes tests: nature draws the unknown normal score, which is read with an error
// that leaves the part left of its variance, and the rule of the verdict is applied to what is known then.
func simulated(r *rand.Rand, q Question, left float64, tests int) (met, missed float64) {
	noise := math.Sqrt(left / (1 - left)) // of a reading of a standard normal score
	for range tests {
		truth := r.NormFloat64()
		reading := truth + noise*r.NormFloat64()
		mean := reading / (1 + noise*noise) // conjugate update of a standard normal
		middle := q.median + q.spread*mean
		rest := q.spread * math.Sqrt(left)
		upper, predictive := dist.NormalCDF(middle+q.score*rest), dist.NormalCDF(middle/math.Sqrt(1+rest*rest))
		target := dist.NormalCDF(q.target)
		switch {
		case upper <= target && predictive <= target:
			met++
		case predictive > target:
			missed++
		}
	}
	return met / float64(tests), missed / float64(tests)
}

// Chances against simulated tests. 20 000 of them have a standard error of 0.0035 at most;
// one in 15 000 of the 12 comparisons is farther off than 4.
func TestChanceIsThatOfSimulatedTests(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 1))
	for _, c := range []struct{ median, upper, target float64 }{{1e-5, 4.5e-3, 2e-3}, {2e-4, 1.5e-3, 1e-3}, {1e-3, 5e-3, 2e-3}} {
		q, err := New(c.median, c.upper, c.target, 0.95)
		require.NoError(t, err)
		for _, left := range []float64{0.5, 0.1} {
			met, missed := simulated(r, q, left, 20_000)
			got := q.Chance(left)
			assert.InDelta(t, met, got.Met, 0.014, "%v, left %v", c, left)
			assert.InDelta(t, missed, got.NotMet, 0.014, "%v, left %v", c, left)
		}
		assert.Zero(t, q.Chance(1).Decided(), "nothing learned, nothing decided")
		assert.InDelta(t, 1, q.Chance(0).Decided(), 1e-9, "all is known")
	}
}

func TestReadings(t *testing.T) {
	q, err := New(1e-5, 4.5e-3, 2e-3, 0.95)
	require.NoError(t, err)
	more := q.Readings(12, 0.9)
	require.Positive(t, more)
	assert.GreaterOrEqual(t, q.Chance(12/float64(12+more)).Decided(), 0.9)
	assert.Less(t, q.Chance(12/float64(12+more-1)).Decided(), 0.9)
	assert.Zero(t, q.Readings(12, 1-1e-9), "more than anyone plans")
	for _, wrong := range [][4]float64{{0, 0.1, 0.01, 0.95}, {0.1, 0.1, 0.01, 0.95}, {0.01, 0.1, 0, 0.95}, {0.01, 0.1, 0.01, 0.5}, {0.01, math.NaN(), 0.01, 0.95}} {
		_, err := New(wrong[0], wrong[1], wrong[2], wrong[3])
		assert.Error(t, err, wrong)
	}
}

// normal is what n readings of a normal process say of parts beyond a limit, their mean k of their standard
// deviations inside it: the predictive probability and the upper bound.
func normal(n int, k, confidence float64) (predictive, upper float64) {
	root, freedom := math.Sqrt(float64(n)), float64(n-1)
	predictive = interval.NoncentralT(-k/math.Sqrt(1+1/float64(n)), 0, freedom)
	low, high := -10., 10. // distance of the true mean at the confidence, found by halving
	for range 60 {
		if middle := (low + high) / 2; interval.NoncentralT(-k*root, -middle*root, freedom) < 1-confidence {
			low = middle
		} else {
			high = middle
		}
	}
	return predictive, dist.NormalSurvival(low)
}

// critical is the distance from which on n readings say that the target is met, and that below which they say that it is
// not.
func critical(n int, target, confidence float64) (met, missed float64) {
	least := func(holds func(k float64) bool) float64 {
		low, high := 0., 20.
		for range 40 {
			if middle := (low + high) / 2; holds(middle) {
				high = middle
			} else {
				low = middle
			}
		}
		return high
	}
	missed = least(func(k float64) bool { p, _ := normal(n, k, confidence); return p <= target })
	met = least(func(k float64) bool { _, u := normal(n, k, confidence); return u <= target })
	return max(met, missed), missed
}

// decisions makes tests of more readings, the truth drawn from what the first n leave open, and returns how often the verdict is clear.
func decisions(r *rand.Rand, n, more int, k, target float64, tests int) float64 {
	decided := 0
	met, missed := critical(n+more, target, 0.95)
	for range tests {
		sd := math.Sqrt(float64(n-1) / chiSquared(r, n-1)) // in those of the first readings, whose mean is k
		mean := k + sd*r.NormFloat64()/math.Sqrt(float64(n))
		total := float64(n + more)
		next := mean + sd*r.NormFloat64()/math.Sqrt(float64(more))
		squares := float64(n-1) + sd*sd*chiSquared(r, more-1) + float64(n)*float64(more)/total*(next-k)*(next-k)
		all := (float64(n)*k + float64(more)*next) / total
		if k := all / math.Sqrt(squares/(total-1)); k < missed || k >= met {
			decided++
		}
	}
	return float64(decided) / float64(tests)
}

func chiSquared(r *rand.Rand, freedom int) (sum float64) {
	for range freedom {
		z := r.NormFloat64()
		sum += z * z
	}
	return sum
}

// The number of readings that is printed decides in 8 to 10 of 10 tests. The exact posterior of few normal readings
// stands in the place of the normal score that the number comes from. 400 tests: standard error 0.02 at most,
// so that a true 9 of 10 falls below 0.8 or above 1 less than once in a million.
func TestReadingsDecide(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 2))
	for _, c := range []struct {
		n         int
		k, target float64
	}{{12, 3.4, 1e-2}, {30, 3.5, 1e-3}} {
		checkDecisions(t, r, c.n, c.k, c.target, 400)
	}
}

func checkDecisions(t *testing.T, r *rand.Rand, n int, k, target float64, tests int) {
	t.Helper()
	predictive, upper := normal(n, k, 0.95)
	require.True(t, predictive <= target && upper > target, "n %d, k %g: %g and %g: not a case", n, k, predictive, upper)
	q, err := New(dist.NormalSurvival(k), upper, target, 0.95)
	require.NoError(t, err)
	more := q.Readings(n, Wanted)
	require.Positive(t, more)
	rate := decisions(r, n, more, k, target, tests)
	t.Logf("n %d, distance %g, target %g: %d more decide in %.3f", n, k, target, more, rate)
	assert.GreaterOrEqual(t, rate, 0.8, "n %d, k %g: %d more", n, k, more)
}

// A plan against simulated tests, and against published one-sided tolerance factors. 4000 tests: standard error 0.006, four of which are allowed.
func TestPlannedReadings(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 3))
	for _, p := range []LimitTest{{4, 1e-2, 0.95}, {3.9, 1e-3, 0.95}, {5, 1e-3, 0.9}} {
		n, err := p.Readings(Wanted)
		require.NoError(t, err)
		shown := 0
		met, _ := critical(n, p.Target, p.Confidence)
		for range 4000 {
			k := (p.Distance + r.NormFloat64()/math.Sqrt(float64(n))) / math.Sqrt(chiSquared(r, n-1)/float64(n-1))
			if k >= met {
				shown++
			}
		}
		assert.InDelta(t, p.Chance(n), float64(shown)/4000, 0.024, "%v: %d", p, n)
		assert.GreaterOrEqual(t, p.Chance(n), Wanted)
		assert.Less(t, p.Chance(n-1), Wanted)
	}
	// With the mean at the tolerance factor itself about half of the tests show it: k for 99 % of the parts at 95 %, n = 12, is 3.7471
	// (exact noncentral t, in the tables of ISO 16269-6).
	assert.InDelta(t, 0.5, LimitTest{3.7471, 0.01, 0.95}.Chance(12), 0.06)
	for _, wrong := range []LimitTest{{2, 1e-2, 0.95}, {4, 0, 0.95}, {4, 1e-2, 1}, {2.3264, 1e-2, 0.95}} {
		_, err := wrong.Readings(Wanted)
		assert.Error(t, err, wrong)
	}
}

// Chances against simulated computations: nature draws the estimate's error, and further rows are
// averaged in. 20 000 have a standard error of 0.0035 at most; 4 of them are allowed for, one false
// alarm in 15 000 for each of the 18.
func TestClearIsThatOfSimulatedRows(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 3))
	const standardError, z, runs = 0.1, 1.96, 20_000
	for _, off := range []float64{-0.1, 0, 0.15} {
		for _, left := range []float64{0.5, 0.1, 0.01} {
			for _, fixed := range []float64{0, 0.03} {
				clear := 0.0
				for range runs {
					truth := off + standardError*r.NormFloat64() // as one estimate says of it
					more := truth + standardError*math.Sqrt(left/(1-left))*r.NormFloat64()
					if after := left*off + (1-left)*more; math.Abs(after) > z*math.Sqrt(standardError*standardError*left+fixed*fixed) {
						clear += 1. / runs
					}
				}
				assert.InDelta(t, clear, Clear(off, standardError, fixed, z, left), 0.014, "at %v, left %v, fixed %v", off, left, fixed)
			}
		}
	}
	assert.Zero(t, Clear(0.1, 0.1, 0, z, 1), "no more rows")
	assert.Equal(t, 1., Clear(0.3, 0.1, 0, z, 1), "clear already")
}
