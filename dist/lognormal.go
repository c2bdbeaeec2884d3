package dist

import (
	"math"

	"clampodds/joint/lanes"
)

// Lognormal is the distribution of a positive quantity whose logarithm is
// normal: ln X has mean ln(median) and standard deviation sigma. Safe for
// concurrent use.
type Lognormal struct{ median, sigma float64 }

// NewLognormal takes the median (> 0) and the standard deviation of the natural
// logarithm, sigmaLn (> 0); other input gets a *ParameterError.
func NewLognormal(median, sigmaLn float64) (Lognormal, error) {
	return Lognormal{median, sigmaLn},
		check("lognormal", positive("median", median), positive("sigma_ln", sigmaLn))
}

// LognormalFromMoments takes the mean (> 0) and the standard deviation (> 0) of
// the quantity itself: sigma^2 = ln(1 + (sd/mean)^2), median = mean exp(-sigma^2/2).
func LognormalFromMoments(mean, sd float64) (Lognormal, error) {
	return lognormalFromRatio(mean, sd/mean), check("lognormal", positive("mean", mean), positive("sd", sd))
}

// LognormalFromCoefficient takes the mean (> 0) and the coefficient of variation
// cov = sd/mean (> 0).
func LognormalFromCoefficient(mean, cov float64) (Lognormal, error) {
	return lognormalFromRatio(mean, cov), check("lognormal", positive("mean", mean), positive("cov", cov))
}

func lognormalFromRatio(mean, cov float64) Lognormal {
	return Lognormal{mean / math.Sqrt(1+cov*cov), math.Sqrt(math.Log1p(cov * cov))}
}

// LognormalFromMedianPercentile takes the median (> 0) and the value x below
// which the probability p lies; p is not 0.5, and x lies on its side of the
// median.
func LognormalFromMedianPercentile(median, p, x float64) (Lognormal, error) {
	key := percentileKey(p)
	sigma := math.Log(x/median) / NormalQuantile(p)
	return Lognormal{median, sigma}, check("lognormal", positive("median", median),
		fraction("the probability of "+key, p), positive(key, x),
		requirement{key, x, sigma > 0 && !math.IsInf(sigma, 1), "on its own side of the median"})
}

// LognormalFromPercentiles takes two values 0 < x1 < x2 below which the
// probabilities p1 < p2 lie.
func LognormalFromPercentiles(p1, x1, p2, x2 float64) (Lognormal, error) {
	if err := twoPercentiles("lognormal", p1, x1, p2, x2); err != nil {
		return Lognormal{}, err
	}
	z1, z2 := NormalQuantile(p1), NormalQuantile(p2)
	sigma := math.Log(x2/x1) / (z2 - z1)
	return Lognormal{x1 * math.Exp(-sigma*z1), sigma}, check("lognormal", positive(percentileKey(p1), x1))
}

// Quantile returns median exp(sigma z), z the normal quantile at p.
func (l Lognormal) Quantile(p float64) float64 { return l.fromNormalScore(NormalQuantile(p)) }

// UpperQuantile returns median exp(-sigma z), z the normal quantile at q.
func (l Lognormal) UpperQuantile(q float64) float64 { return l.fromNormalScore(-NormalQuantile(q)) }
func (l Lognormal) CDF(x float64) float64           { return NormalCDF(l.normalScore(x)) }
func (l Lognormal) Survival(x float64) float64      { return NormalSurvival(l.normalScore(x)) }

func (l Lognormal) LogDensity(x float64) float64 {
	if x <= 0 {
		return math.Inf(-1)
	}
	return NormalLogDensity(l.normalScore(x)) - math.Log(l.sigma*x)
}

func (l Lognormal) Mean() float64                { return l.median * math.Exp(l.sigma*l.sigma/2) }
func (l Lognormal) StdDev() float64              { return l.Mean() * math.Sqrt(math.Expm1(l.sigma*l.sigma)) }
func (l Lognormal) Support() (low, high float64) { return 0, math.Inf(1) }

func (l Lognormal) fromNormalScore(z float64) float64 { return l.median * lanes.Exp(l.sigma*z) }

func (l Lognormal) normalScore(x float64) float64 {
	return math.Log(max(x, 0)/l.median) / l.sigma
}
