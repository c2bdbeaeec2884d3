package interval

import (
	"fmt"
	"math"

	"clampodds/sim/result"
)

// PairedRatio counts trials run twice on the same draws for the ratio of the two
// failure probabilities, new over old. Counts may be real, as in Paired.
type PairedRatio struct {
	Paired
	Both float64 // a: fails before and after
}

// Ratio returns (a+b)/(a+c): +Inf without a failure before the change, NaN
// without any failure.
func (p PairedRatio) Ratio() float64 { return (p.Both + p.OnlyNew) / (p.Both + p.OnlyOld) }

// mustRatio panics unless the counts are possible.
func (p PairedRatio) mustRatio() {
	p.must()
	if !(p.Both >= 0 && p.Both+p.OnlyNew+p.OnlyOld <= p.Total*(1+1e-12)) {
		panic(fmt.Sprintf("interval: impossible counts %+v", p))
	}
}

// Upper returns a one-sided upper bound of the ratio, of level >= 1/2: the ratio
// r at which the score of b - r c - (r-1) a falls to -z, corrected for the steps
// of the counts and for skewness as in ScoreUpper. It is +Inf when no failure
// was seen before the change.
//
// The nuisance parameters are at their maximum-likelihood estimate under the
// ratio, as in Nam & Blackwelder, Statist. Med. 21 (2002) 689; the correction is
// our own.
func (p PairedRatio) Upper(level float64) float64 {
	p.mustRatio()
	mustLevel(oneSided(level))
	return p.upperRatio(normalUpper(1 - level))
}

// Lower returns the one-sided lower bound that mirrors Upper; 0 when no failure
// was seen after the change.
func (p PairedRatio) Lower(level float64) float64 {
	p.mustRatio()
	mustLevel(oneSided(level))
	return 1 / p.mirroredRatio().upperRatio(normalUpper(1-level))
}

// JudgeRatio decides whether the new failure probability stays below limit > 1
// times the old one: Met when the upper bound is at or below limit, NotMet when the
// lower bound is above it. level is as in Judge.
func (p PairedRatio) JudgeRatio(limit, level float64) result.Verdict {
	mustMargin(limit - 1)
	return result.Interval{Low: p.Lower(level), High: p.Upper(level)}.Judge(limit)
}

func (p PairedRatio) mirroredRatio() PairedRatio { return PairedRatio{p.mirrored(), p.Both} }

// mostRatio is where the search for an upper bound ends.
const mostRatio = 1e12

func (p PairedRatio) upperRatio(z float64) float64 {
	if p.Both+p.OnlyOld == 0 {
		return math.Inf(1)
	}
	// In the logarithm of the ratio.
	low := math.Log(math.Max(p.Ratio(), 1/mostRatio))
	at := bisectIncreasing(func(log float64) float64 { return -z - p.ratioScore(math.Exp(log), z) }, low, math.Log(mostRatio))
	if at >= math.Log(mostRatio)*(1-1e-12) {
		return math.Inf(1)
	}
	return math.Exp(at)
}

// ratioScore is (S + κ)/√v, S = b - r c - (r-1) a, whose mean is 0 when the ratio
// is r, and κ = 1/2 - (z²-1)/6 κ3/v, not below 0.
func (p PairedRatio) ratioScore(r, z float64) float64 {
	variance, third := p.ratioMoments(r)
	if variance == 0 {
		return 0 // no failure at all says nothing
	}
	correction := math.Max(0, 0.5-(z*z-1)/6*third/variance)
	return (p.OnlyNew - r*p.OnlyOld - (r-1)*p.Both + correction) / math.Sqrt(variance)
}

// ratioMoments returns variance and third cumulant of S when the ratio is r. The
// classes' expected counts are x/(1 + η w), w their weights in S, η such that
// Σ w x/(1 + η w) = 0: the maximum of the multinomial likelihood, S having
// mean 0. Where no class has the sign that makes this possible, the class of
// the largest weight of that sign fills in.
func (p PairedRatio) ratioMoments(r float64) (variance, third float64) {
	counts := [3]float64{p.OnlyNew, p.OnlyOld, p.Both}
	weights := [3]float64{1, -r, 1 - r}
	expected := func(eta float64) (e [3]float64, sum float64) {
		for i, w := range weights {
			if counts[i] > 0 {
				e[i] = counts[i] / (1 + eta*w)
				sum += w * e[i]
			}
		}
		return e, sum
	}
	low, high := -1.0, 1/r // where the classes only new and only old run away
	eta := bisectIncreasing(func(eta float64) float64 { _, sum := expected(eta); return -sum }, low, high)
	at, sum := expected(eta)
	switch {
	case sum < 0 && p.OnlyNew == 0:
		at[0] -= sum
	case sum > 0 && p.OnlyOld == 0:
		at[1] += sum / r
	}
	for i, w := range weights {
		variance += w * w * at[i]
		third += w * w * w * at[i]
	}
	return variance, third
}
