package interval

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"

	"clampodds/sim/result"
)

// MeanInterval is the mean of R independent estimates with its interval.
type MeanInterval struct {
	Mean          float64
	StandardError float64 // s/sqrt(R), s the standard deviation with R-1
	result.Interval
	Level float64
	Count int // R
}

// Replicates returns the mean of independent replicate estimates of one
// quantity and its Student-t interval, mean ± t s/sqrt(R) with R-1 degrees of
// freedom. It is the valid interval for a mean, a probability or a quantile
// from independently randomised Latin hypercubes or quasi-Monte Carlo sets;
// use R >= 10 (L'Ecuyer & Lemieux 2002; Owen, arXiv:2501.00150).
//
// One estimate alone gives an infinite interval and a NaN standard error. A
// NaN or infinite estimate gives NaN or infinite results. No estimate at all
// panics. estimates is not changed.
func Replicates(estimates []float64, level float64) MeanInterval {
	mustLevel(level)
	count := len(estimates)
	if count == 0 {
		panic(fmt.Sprintf("interval: no replicates for level %v", level))
	}
	r := MeanInterval{Level: level, Count: count, Interval: result.Interval{Low: math.Inf(-1), High: math.Inf(1)}}
	if count == 1 {
		r.Mean, r.StandardError = estimates[0], math.NaN()
		return r
	}
	mean, deviation := stat.MeanStdDev(estimates, nil)
	r.Mean, r.StandardError = mean, stat.StdErr(deviation, float64(count))
	half := StudentTUpper((1-level)/2, float64(count-1)) * r.StandardError
	r.Low, r.High = mean-half, mean+half
	return r
}
