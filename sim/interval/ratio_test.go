package interval

import (
	"math"
	"math/rand/v2"
	"testing"

	"clampodds/sim/result"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

func drawRatio(t *rapid.T) PairedRatio {
	n := rapid.IntRange(1, 5000).Draw(t, "n")
	a := rapid.IntRange(0, n).Draw(t, "a")
	b := rapid.IntRange(0, n-a).Draw(t, "b")
	c := rapid.IntRange(0, n-a-b).Draw(t, "c")
	return PairedRatio{Paired{float64(b), float64(c), float64(n)}, float64(a)}
}

func TestRatioBoundsEncloseAndMirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawRatio(t)
		low, high := p.Lower(0.95), p.Upper(0.95)
		if r := p.Ratio(); !math.IsNaN(r) {
			assert.LessOrEqual(t, low, r*(1+1e-9))
			assert.GreaterOrEqual(t, high, r*(1-1e-9))
		}
		assert.LessOrEqual(t, p.Lower(0.99), low*(1+1e-9))
		assert.GreaterOrEqual(t, p.Upper(0.99), high*(1-1e-9))
		mirror := PairedRatio{Paired{p.OnlyOld, p.OnlyNew, p.Total}, p.Both}
		assert.InEpsilon(t, 1+low, 1+1/mirror.Upper(0.95), 1e-9)
	})
}

// The estimated moments under the ratio: S has mean 0 there, and with ratio 1 its
// variance is the plain b + c (McNemar).
func TestRatioMomentsAtOne(t *testing.T) {
	variance, third := PairedRatio{Paired{7, 5, 1000}, 90}.ratioMoments(1)
	assert.InDelta(t, 12, variance, 1e-9)
	assert.InDelta(t, 0, third, 1e-9)
}

// With failures before or after only, the ratio is that of two Poisson counts,
// whose conditional variance at ratio r is known: S = b - r c has variance r(b+c).
func TestRatioMomentsOfSeparateFailures(t *testing.T) {
	for _, r := range []float64{0.5, 1.2, 3} {
		variance, _ := PairedRatio{Paired{30, 20, 1e5}, 0}.ratioMoments(r)
		assert.InDelta(t, r*50, variance, 1e-9)
	}
}

// The error rates of verdicts when the true ratio IS the limit. 20 000 random
// outcomes each; the rate of either wrong verdict exceeds its 5 % by no more than 4
// standard errors, 0.6 % (a false alarm of 3e-5 for each were the rate 5 % itself).
func TestRatioVerdictErrorAtTheLimit(t *testing.T) {
	const runs = 20000
	for _, c := range []struct{ both, onlyOld, limit float64 }{
		{100, 0, 1.5}, {40, 0, 1.2}, {20, 2, 1.5}, {10, 10, 2}, {200, 20, 1.1}, {5, 0, 2}, {0, 20, 1.5}, {30, 60, 1.25},
	} {
		random := rand.New(rand.NewPCG(1, 2))
		poisson := func(mean float64) float64 {
			if mean == 0 {
				return 0
			}
			return distuv.Poisson{Lambda: mean, Src: random}.Rand()
		}
		safe, notSafe := 0, 0
		onlyNew := c.limit*(c.both+c.onlyOld) - c.both
		z := normalUpper(0.05)
		for range runs {
			p := PairedRatio{Paired{poisson(onlyNew), poisson(c.onlyOld), 1e6}, poisson(c.both)}
			if p.ratioScore(c.limit, z) <= -z {
				safe++
			}
			if p.mirroredRatio().ratioScore(1/c.limit, z) < -z {
				notSafe++
			}
		}
		t.Logf("%+v safe %.4f not safe %.4f", c, float64(safe)/runs, float64(notSafe)/runs)
		allowed := 0.05 + 4*proportionError(0.05, runs)
		assert.LessOrEqual(t, float64(safe)/runs, allowed, "false safe %+v", c)
		assert.LessOrEqual(t, float64(notSafe)/runs, allowed, "false not safe %+v", c)
	}
}

func TestJudgeRatio(t *testing.T) {
	few := PairedRatio{Paired{5, 0, 1000}, 10}
	assert.Equal(t, result.Undecided, few.JudgeRatio(1.4, 0.95))
	assert.Equal(t, result.Met, PairedRatio{Paired{5, 0, 1000}, 100}.JudgeRatio(1.5, 0.95))
	assert.InDelta(t, 1.5, few.Ratio(), 1e-15)
	assert.Equal(t, result.Undecided, PairedRatio{Paired{0, 0, 1000}, 0}.JudgeRatio(1.5, 0.95), "no failure at all")
	assert.True(t, math.IsInf(PairedRatio{Paired{3, 0, 1000}, 0}.Upper(0.95), 1))
	assert.Zero(t, PairedRatio{Paired{0, 3, 1000}, 0}.Lower(0.95))
	assert.Panics(t, func() { few.JudgeRatio(1, 0.95) })
	assert.Panics(t, func() { PairedRatio{Paired{5, 5, 12}, 5}.Upper(0.95) })
}

// The moments under the ratio against the likelihood itself: the expected counts maximise
// Σ x ln e - Σ e on e(new) - r e(old) + (1-r) e(both) = 0, found by nested golden sections. What is
// least at a flat top is known to the root of the rounding, 1e-8, and the sections stop at 1e-9.
func TestRatioMomentsMaximiseTheLikelihood(t *testing.T) {
	section := func(f func(x float64) float64, low, high float64) float64 {
		const golden = 0.6180339887498949
		for high-low > 1e-9*high {
			if a, b := high-golden*(high-low), low+golden*(high-low); f(a) > f(b) {
				high = b
			} else {
				low = a
			}
		}
		return (low + high) / 2
	}
	for _, c := range []struct{ both, onlyNew, onlyOld, r float64 }{{12, 9, 4, 1.5}, {12, 9, 4, 0.7}, {40, 3, 8, 1.2}, {5, 20, 30, 0.5}} {
		p := PairedRatio{Paired{c.onlyNew, c.onlyOld, 1000}, c.both}
		likelihood := func(both, old float64) float64 {
			fresh := c.r*old + (c.r-1)*both
			if !(fresh > 0) {
				return math.Inf(-1)
			}
			return c.both*math.Log(both) + c.onlyOld*math.Log(old) + c.onlyNew*math.Log(fresh) - both - old - fresh
		}
		bestOld := func(both float64) float64 {
			least := math.Max(1e-3, (1-c.r)/c.r*both*(1+1e-9)) // else none is new
			return section(func(old float64) float64 { return likelihood(both, old) }, least, 200)
		}
		both := section(func(both float64) float64 { return likelihood(both, bestOld(both)) }, 1e-3, 200)
		old := bestOld(both)
		fresh := c.r*old + (c.r-1)*both
		variance, third := p.ratioMoments(c.r)
		assert.InEpsilon(t, fresh+c.r*c.r*old+(1-c.r)*(1-c.r)*both, variance, 1e-6, "%+v", c)
		assert.InEpsilon(t, 1000+fresh-c.r*c.r*c.r*old+math.Pow(1-c.r, 3)*both, 1000+third, 1e-6, "%+v", c)
	}
}

// With only-new and only-old cards alone the expected counts are in closed form: A/(1+η) = r B/(1-rη) gives
// η = (A-rB)/(r(A+B)). Where one class is nearly empty η is near the ends of where it may lie. 1e-9 is what the
// bisection leaves of the small class.
func TestRatioMomentsNearTheirEnds(t *testing.T) {
	for _, c := range []struct{ onlyNew, onlyOld, r float64 }{{1000, 1, 0.5}, {1, 1000, 0.5}, {1000, 1, 2}, {1, 1000, 2}, {3, 4, 1.1}} {
		eta := (c.onlyNew - c.r*c.onlyOld) / (c.r * (c.onlyNew + c.onlyOld))
		a, b := c.onlyNew/(1+eta), c.onlyOld/(1-c.r*eta)
		variance, third := PairedRatio{Paired: Paired{Total: 1e4, OnlyNew: c.onlyNew, OnlyOld: c.onlyOld}}.ratioMoments(c.r)
		assert.InEpsilon(t, a+c.r*c.r*b, variance, 1e-9, "%v", c)
		assert.InDelta(t, a-c.r*c.r*c.r*b, third, 1e-9*(a+b), "%v", c)
	}
}
