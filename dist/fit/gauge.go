package fit

import (
	"math"

	"clampodds/dist"
)

// LimitError returns the standard deviation of a gauge error of which only the
// limit is known (an accuracy class, half the step of a display): the error is
// taken as uniform within -+limit, limit/sqrt(3) (JCGM 100:2008, 4.3.7). limit
// in the unit of the readings.
func LimitError(limit float64) float64 { return limit / math.Sqrt(3) }

// blurred is the distribution of a reading: the true value and a normal error.
// The convolution is summed over the error in steps of a quarter of its standard
// deviation, which is exact to rounding for a density that is smooth over half a
// standard deviation of the gauge, and good to a few per cent of the density
// where it has a corner or a step.
type blurred struct {
	base density
	sd   float64
}

const blurSteps, blurStep = 24, 0.25 // on each side

// blur returns the distribution of a reading with the given gauge error.
func blur(d density, sd float64) density {
	if sd == 0 {
		return d
	}
	if n, ok := d.(dist.Normal); ok {
		return orNothing(dist.NewNormal(n.Mean(), math.Hypot(n.StdDev(), sd)))
	}
	return blurred{d, sd}
}

func (b blurred) LogDensity(x float64) float64 {
	var terms [2*blurSteps + 1]float64
	largest := math.Inf(-1)
	for i := range terms {
		e := float64(i-blurSteps) * blurStep
		terms[i] = dist.NormalLogDensity(e) + b.base.LogDensity(x-e*b.sd)
		largest = math.Max(largest, terms[i])
	}
	if math.IsInf(largest, 0) {
		return largest
	}
	sum := 0.0
	for _, t := range terms {
		sum += math.Exp(t - largest)
	}
	return largest + math.Log(sum*blurStep)
}

func (b blurred) CDF(x float64) float64      { return b.average(b.base.CDF, x) }
func (b blurred) Survival(x float64) float64 { return b.average(b.base.Survival, x) }

func (b blurred) average(f func(float64) float64, x float64) float64 {
	sum := 0.0
	for i := -blurSteps; i <= blurSteps; i++ {
		e := float64(i) * blurStep
		sum += math.Exp(dist.NormalLogDensity(e)) * f(x-e*b.sd)
	}
	return sum * blurStep
}
