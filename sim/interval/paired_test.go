package interval

import (
	"math"
	"math/rand/v2"
	"testing"

	"clampodds/sim/result"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func drawPaired(t *rapid.T) Paired {
	n := rapid.Int64Range(1, 1e9).Draw(t, "n")
	b := rapid.Int64Range(0, n).Draw(t, "b")
	return Paired{float64(b), float64(rapid.Int64Range(0, n-b).Draw(t, "c")), float64(n)}
}

func TestPairedBoundsMirrorAndNest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPaired(t)
		swapped := Paired{p.OnlyOld, p.OnlyNew, p.Total}
		level := rapid.Float64Range(0.6, 0.999).Draw(t, "level")
		low, high := p.Tango(level)
		mirrorLow, mirrorHigh := swapped.Tango(level)
		assert.Equal(t, -mirrorHigh, low)
		assert.Equal(t, -mirrorLow, high)
		assert.True(t, -1 <= low && low <= p.Difference() && p.Difference() <= high && high <= 1)
		// The correction only ever widens.
		low, high = p.Tango(oneSided(level))
		assert.GreaterOrEqual(t, p.ScoreUpper(level), high-1e-12)
		assert.LessOrEqual(t, p.ScoreLower(level), low+1e-12)
		assert.Equal(t, -swapped.ScoreUpper(level), p.ScoreLower(level))
	})
}

func TestPairedEnds(t *testing.T) {
	assert.Equal(t, McNemar{Exact: 1, MidP: 1}, Paired{0, 0, 10}.McNemar())
	assert.Equal(t, 1.0, Paired{7, 7, 20}.McNemar().Exact, "2 P(X <= half) is above 1")
	_, high := Paired{10, 0, 10}.Tango(0.95)
	assert.Equal(t, 1.0, high)
	assert.Equal(t, 1.0, Paired{10, 0, 10}.ScoreUpper(0.95))
	for _, p := range []Paired{{-1, 0, 5}, {3, 3, 5}, {0, 0, 0}, {math.NaN(), 0, 5}, {0, 0, math.Inf(1)}} {
		assert.Panics(t, func() { p.Tango(0.95) }, "%+v", p)
		assert.Panics(t, func() { p.McNemar() }, "%+v", p)
	}
}

// outcomes calls f with the probability of every outcome of n trials.
func outcomes(n int64, onlyNew, onlyOld float64, f func(p Paired, probability float64)) {
	point := func(k, n int64, p float64) float64 {
		upTo, _ := BinomialTails(k, n, p)
		below, _ := BinomialTails(k-1, n, p)
		return upTo - below
	}
	for b := range n + 1 {
		first := point(b, n, onlyNew)
		if first < 1e-9 {
			continue
		}
		for c := range n - b + 1 {
			if both := first * point(c, n-b, onlyOld/(1-onlyNew)); both > 1e-12 {
				f(Paired{float64(b), float64(c), float64(n)}, both)
			}
		}
	}
}

// Coverage summed over every outcome: the score interval within 0.021 of its
// level (three standard errors of 1000 repetitions).
func TestTangoCoverage(t *testing.T) {
	for _, c := range []struct {
		n                int64
		onlyNew, onlyOld float64
	}{{40, 0.1, 0.1}, {100, 0.05, 0.02}, {300, 0.01, 0.005}, {1500, 3e-3, 1e-3}, {1500, 2e-3, 2e-3}} {
		covered := 0.0
		outcomes(c.n, c.onlyNew, c.onlyOld, func(p Paired, probability float64) {
			if low, high := p.Tango(0.95); low <= c.onlyNew-c.onlyOld && c.onlyNew-c.onlyOld <= high {
				covered += probability
			}
		})
		assert.GreaterOrEqual(t, covered, 0.95-0.021, "%+v", c)
	}
}

// The verdicts' error rates when the true difference IS the margin, summed over
// every outcome: neither may exceed 1-level, for rare and for common failures,
// one look and a level of 99.75 % (twenty looks at 95 %).
func TestVerdictErrorAtTheMargin(t *testing.T) {
	if testing.Short() {
		t.Skip("many repetitions, single-threaded")
	}
	for _, level := range []float64{0.95, 0.9975} {
		for _, c := range []struct {
			n               int64
			margin, onlyOld float64
		}{
			{1000, 2.7e-3, 0},
			{1000, 3.5e-3, 0},
			{1000, 3e-3, 3e-4},
			{1000, 4e-3, 1e-3},
			{1000, 8e-3, 1e-3},
			{1000, 1e-2, 5e-3},
			{1000, 2e-2, 0},
			{1000, 1e-3, 1e-2},
			{60, 0.05, 0.02},
			{60, 0.05, 0.3},
			{60, 0.2, 0.2},
			{60, 0.4, 0.1},
		} {
			safe, notSafe := 0.0, 0.0
			t0, z := c.margin, normalUpper(1-level)
			outcomes(c.n, c.margin+c.onlyOld, c.onlyOld, func(p Paired, probability float64) {
				switch {
				case p.correctedScore(t0, z) <= -z:
					safe += probability
				case p.mirrored().correctedScore(-t0, z) < -z:
					notSafe += probability
				}
			})
			assert.LessOrEqual(t, safe, 1-level, "false safe %v %+v", level, c)
			assert.LessOrEqual(t, notSafe, 1-level, "false not safe %v %+v", level, c)
		}
	}
}

// By repetition with looks: five looks at growing counts, stopping at the first
// verdict. The true difference is the margin, so every verdict is wrong in one
// direction; the wrong SAFE verdicts stay within 5 %. 1000 seeds, 3 standard
// errors, false alarm 1e-3 were the rate 5 % itself.
func TestLooksKeepTheErrorRate(t *testing.T) {
	if testing.Short() {
		t.Skip("many repetitions, single-threaded")
	}
	const runs, looks, margin, onlyOld = 1000, 5, 0.01, 0.004
	safe, notSafe := 0, 0
	for seed := range uint64(runs) {
		random := rand.New(rand.NewPCG(seed, 5))
		var p Paired
	trials:
		for range looks {
			for range 600 {
				switch u := random.Float64(); {
				case u < onlyOld:
					p.OnlyOld++
				case u < onlyOld+margin+onlyOld:
					p.OnlyNew++
				}
			}
			p.Total += 600
			switch p.Judge(margin, 1-0.05/looks) {
			case result.Met:
				safe++
				break trials
			case result.NotMet:
				notSafe++
				break trials
			}
		}
	}
	assert.LessOrEqual(t, float64(safe)/runs, 0.05+3*proportionError(0.05, runs))
	assert.LessOrEqual(t, float64(notSafe)/runs, 0.05+3*proportionError(0.05, runs))
}

func TestJudge(t *testing.T) {
	assert.Equal(t, result.Undecided, Paired{0, 0, 1000}.Judge(1e-3, 0.95))
	assert.Equal(t, result.Undecided, Paired{0, 0, 0.5}.Judge(1e-3, 0.95), "half a trial of evidence")
	assert.Equal(t, result.NotMet, Paired{100, 0, 10000}.Judge(1e-3, 0.95))
	assert.Equal(t, result.Met, Paired{10, 60, 10000}.Judge(1e-3, 0.95))

	for _, margin := range []float64{0, -1, 1, math.NaN()} {
		assert.Panics(t, func() { Paired{0, 0, 10}.Judge(margin, 0.95) })
	}
	assert.Panics(t, func() { Paired{0, 0, 10}.Judge(0.1, 0.4) })
}
