package interval

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Closed forms for 1 and 2 degrees of freedom, far into the tail.
func TestStudentTClosedForms(t *testing.T) {
	for _, x := range []float64{0.1, 1, 3, 30, 1e4, 1e8} {
		assert.InEpsilon(t, x, StudentTUpper(math.Atan2(1, x)/math.Pi, 1), 1e-12, "t = %g", x)
		r := math.Sqrt(2 + x*x)
		assert.InEpsilon(t, x, StudentTUpper(1/(r*(r+x)), 2), 1e-12, "t = %g", x)
	}
	for _, tail := range []float64{1e-12, 1e-4, 0.025, 0.4, 0.7} {
		// cot loses digits near 1/2 only.
		assert.InEpsilon(t, 1/math.Tan(math.Pi*tail), StudentTUpper(tail, 1), 1e-12, "tail = %g", tail)
	}
}

// The first two terms of the expansion about the normal quantile (Abramowitz &
// Stegun 26.7.5); the third is of order 1/nu³.
func TestStudentTNearNormal(t *testing.T) {
	z := normalUpper(0.025)
	for _, nu := range []float64{1e5, 1e7, 1e11} {
		want := z + (z*z*z+z)/(4*nu) + (5*math.Pow(z, 5)+16*z*z*z+3*z)/(96*nu*nu)
		assert.InEpsilon(t, want, StudentTUpper(0.025, nu), 1e-13, "nu = %g", nu)
	}
	assert.Equal(t, z, StudentTUpper(0.025, math.Inf(1)))
}

// studentTail returns P(T > t) for t >= 0: I_(nu/(nu+t²))(nu/2, 1/2)/2 (NIST DLMF 8.17).
func studentTail(t, nu float64) float64 {
	s := t * t / nu
	tail, _ := betaTails(nu/2, 0.5, 1/(1+s), s/(1+s))
	return tail / 2
}

func TestStudentTRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nu := math.Exp(rapid.Float64Range(-2, 25).Draw(t, "ln nu"))
		tail := math.Exp(rapid.Float64Range(-200, math.Log(0.49)).Draw(t, "ln tail"))
		x := StudentTUpper(tail, nu)
		if x > 1e150 {
			t.Skip("beyond the documented range")
		}
		// 1e-11: the tail falls like exp(-x²/2) or x^-nu, which multiplies the rounding of x.
		assert.InEpsilon(t, tail, studentTail(x, nu), 1e-11)
	})
	assert.Panics(t, func() { StudentTUpper(0.1, 0) })
	assert.Panics(t, func() { StudentTUpper(math.NaN(), 3) })
}

func TestReplicates(t *testing.T) {
	got := Replicates([]float64{1, 2, 3, 4}, 0.95)
	assert.Equal(t, 2.5, got.Mean)
	assert.InEpsilon(t, math.Sqrt(5./3/4), got.StandardError, 1e-15)
	assert.InEpsilon(t, 2.5+3.182446305284263*got.StandardError, got.High, 1e-12) // t_3 table value
	assert.InEpsilon(t, 5-got.High, got.Low, 1e-12)
	assert.Equal(t, 4, got.Count)

	one := Replicates([]float64{7}, 0.95)
	assert.Equal(t, 7.0, one.Mean)
	assert.True(t, math.IsInf(one.Low, -1) && math.IsInf(one.High, 1) && math.IsNaN(one.StandardError))
	assert.Panics(t, func() { Replicates(nil, 0.95) })
	same := Replicates([]float64{3, 3, 3}, 0.95)
	assert.Equal(t, [2]float64{3, 3}, [2]float64{same.Low, same.High})
}

// Exact for normal estimates: 4 standard errors of 4000 runs, false alarm 6e-5.
func TestReplicatesCoverageByRepetition(t *testing.T) {
	const runs = 4000
	random := rand.New(rand.NewPCG(2, 0))
	for _, count := range []int{2, 10, 32} {
		estimates := make([]float64, count)
		hits := 0
		for range runs {
			for i := range estimates {
				estimates[i] = 5 + 2*random.NormFloat64()
			}
			if r := Replicates(estimates, 0.95); r.Low <= 5 && 5 <= r.High {
				hits++
			}
		}
		assert.InDelta(t, 0.95, float64(hits)/runs, 4*proportionError(0.95, runs), "R = %d", count)
	}
}

func proportionError(p float64, runs int) float64 { return math.Sqrt(p * (1 - p) / float64(runs)) }
