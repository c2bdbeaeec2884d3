package interval

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	_ "clampodds/testdata/fixedseed"
)

// exactBinomialLower returns P(X <= k), X ~ Bin(n, p), summed in 400-bit
// arithmetic.
func exactBinomialLower(k, n int64, p float64) *big.Float {
	const bits = 400
	number := func(x float64) *big.Float { return new(big.Float).SetPrec(bits).SetFloat64(x) }
	success := number(p)
	failure := number(1)
	failure.Sub(failure, success)
	term := number(1)
	square := new(big.Float).Copy(failure)
	for e := n; e > 0; e >>= 1 { // failure^n
		if e&1 == 1 {
			term.Mul(term, square)
		}
		square.Mul(square, square)
	}
	ratio := number(0).Quo(success, failure)
	sum := new(big.Float).Copy(term)
	for j := int64(1); j <= k; j++ {
		term.Mul(term, ratio)
		term.Mul(term, number(float64(n-j+1)))
		term.Quo(term, number(float64(j)))
		sum.Add(sum, term)
	}
	return sum
}

func TestBinomialTailsAgainstExactSums(t *testing.T) {
	for _, c := range []struct {
		k, n int64
		p    float64
	}{
		{0, 1, 0.5},
		{0, 20, 0.1},
		{3, 20, 0.3},
		{10, 20, 0.3},
		{19, 20, 0.99},
		{7, 1000, 1e-3},
		{40, 1000, 1e-2},
		{990, 1000, 0.97},
		{3, 1e9, 1e-8},
		{25, 1e9, 1e-8},
		{400, 1e6, 5e-4},
	} {
		lower, upper := BinomialTails(c.k, c.n, c.p)
		want := exactBinomialLower(c.k, c.n, c.p)
		complement := new(big.Float).Sub(big.NewFloat(1).SetPrec(400), want)
		wantLower, _ := want.Float64()
		wantUpper, _ := complement.Float64()
		// 1e-12: a few hundred rounded steps of the fraction at 1e-16, and n/a x
		// rounding multiplied by up to 400 events. The larger tail is 1 - the other.
		if wantLower < 0.5 {
			assert.InEpsilon(t, wantLower, lower, 1e-12, "%+v", c)
		} else {
			assert.InEpsilon(t, wantUpper, upper, 1e-12, "%+v", c)
		}
		assert.InEpsilon(t, 1, lower+upper, 1e-15, "%+v", c)
	}
}

// For p = 1/2 the continuity-corrected normal tail is right to O(1/n).
func TestBinomialTailsHuge(t *testing.T) {
	const n = 100_000_000_000
	sigma := math.Sqrt(n) / 2
	for _, z := range []float64{-6, -3, -1, -0.01} {
		k := int64(math.Floor(n/2 + z*sigma))
		lower, _ := BinomialTails(k, n, 0.5)
		w := (float64(k) + 0.5 - n/2) / sigma
		// 1e-8: the kurtosis term (3w - w³)/(12 n) φ(w)/Φ(w), below 3e-10, and w's rounding.
		assert.InEpsilon(t, math.Erfc(-w/math.Sqrt2)/2, lower, 1e-8, "z = %g", z)
		_, upper := BinomialTails(n-k-1, n, 0.5)
		assert.InEpsilon(t, lower, upper, 1e-9, "mirror, z = %g", z)
	}
}

func TestBetaTailsClosedForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := math.Exp(rapid.Float64Range(math.Log(1e-3), math.Log(1e9)).Draw(t, "ln a"))
		logX := -math.Exp(rapid.Float64Range(-5, 5).Draw(t, "ln -ln x^a")) / a
		x, y := math.Exp(logX), -math.Expm1(logX)
		if x < 1e-300 {
			t.Skip("x underflows")
		}
		// I_x(a, 1) = x^a and I_x(1, a) = 1 - (1-x)^a. 1e-11 covers the rounding of
		// ln x to which x^a is sensitive by a factor of up to 150.
		lower, upper := betaTails(a, 1, x, y)
		want := math.Exp(a * logX)
		if want < 0.5 {
			assert.InEpsilon(t, want, lower, 1e-11)
		} else {
			assert.InDelta(t, 0, upper+math.Expm1(a*logX), 1e-13)
		}
		if x > 0 && y > 0 {
			mirrorLower, mirrorUpper := betaTails(1, a, y, x)
			assert.InDelta(t, lower, mirrorUpper, 1e-14)
			assert.InDelta(t, upper, mirrorLower, 1e-14)
		}
	})
}

func TestStirlingErrorAndDeviance(t *testing.T) {
	// ln x! at x = 10 and 100 to 20 digits: ln 3628800 and DLMF 5.11.1.
	assert.InDelta(t, 0.008330563433362871, stirlingError(10), 1e-15)
	assert.InDelta(t, stirlingError(9.999999), stirlingError(10.000001), 2e-9, "series meets Lgamma")
	assert.InEpsilon(t, 0.5e-20, deviance(1e-10, 1+1e-10), 1e-9)
	assert.InEpsilon(t, 0.25-math.Log(1.25), deviance(0.25, 1.25), 1e-14)
}
