package dist

import "math"

// Normal is the normal distribution, density exp(-((x-mean)/sd)^2/2)/(sd sqrt(2 pi)).
// Safe for concurrent use.
type Normal struct{ mean, sd float64 }

// NewNormal returns the normal distribution with the given mean (finite) and
// standard deviation (> 0, finite); other input gets a *ParameterError.
func NewNormal(mean, sd float64) (Normal, error) {
	return Normal{mean, sd}, check("normal", finite("mean", mean), positive("sd", sd))
}

// NormalFromCoefficient takes the mean (not 0) and the coefficient of variation
// cov = sd/|mean| (> 0).
func NormalFromCoefficient(mean, cov float64) (Normal, error) {
	return Normal{mean, cov * math.Abs(mean)}, check("normal",
		requirement{"mean", mean, mean != 0, "other than 0 where cov is given"}, positive("cov", cov))
}

// NormalFromMeanPercentile takes the mean and the value x below which the
// probability p lies; p is not 0.5, and x lies on its side of the mean.
func NormalFromMeanPercentile(mean, p, x float64) (Normal, error) {
	key := percentileKey(p)
	z := NormalQuantile(p)
	sd := (x - mean) / z
	return Normal{mean, sd}, check("normal", finite("mean", mean), fraction("the probability of "+key, p),
		requirement{key, x, sd > 0 && !math.IsInf(sd, 1), "on its own side of the mean"})
}

// NormalFromPercentiles takes two values x1 < x2 below which the probabilities
// p1 < p2 lie.
func NormalFromPercentiles(p1, x1, p2, x2 float64) (Normal, error) {
	z1, z2 := NormalQuantile(p1), NormalQuantile(p2)
	sd := (x2 - x1) / (z2 - z1)
	return Normal{x1 - sd*z1, sd}, twoPercentiles("normal", p1, x1, p2, x2)
}

// twoPercentiles requires 0 < p1 < p2 < 1 and x1 < x2.
func twoPercentiles(shape string, p1, x1, p2, x2 float64) error {
	key1, key2 := percentileKey(p1), percentileKey(p2)
	return check(shape, fraction("the probability of "+key1, p1), fraction("the probability of "+key2, p2),
		above("the probability of "+key2, p2, "that of "+key1, p1), finite(key1, x1), above(key2, x2, key1, x1))
}

// NormalFromTolerance takes a nominal value with its limits nominal+plus and
// nominal-minus and the fraction of parts inside them (coverage, 0.9973 for
// what is called three sigma). The parts are centred between the limits:
// sd = (plus+minus)/2 / z, z the normal quantile at (1+coverage)/2.
func NormalFromTolerance(nominal, plus, minus, coverage float64) (Normal, error) {
	z := HalfNormal{1}.Quantile(coverage)
	return Normal{nominal + (plus-minus)/2, (plus + minus) / 2 / z},
		check("normal", append(tolerance(nominal, plus, minus), fraction("coverage", coverage))...)
}

// NormalFromCapability takes a nominal value with its limits and the capability
// index Cp = (plus+minus)/(6 sd). The parts are centred between the limits.
func NormalFromCapability(nominal, plus, minus, cp float64) (Normal, error) {
	return Normal{nominal + (plus-minus)/2, (plus + minus) / (6 * cp)},
		check("normal", append(tolerance(nominal, plus, minus), positive("cp", cp))...)
}

// NormalFromNearerCapability takes a nominal value with its limits and the
// capability index Cpk = (distance of the mean from the nearer limit)/(3 sd).
// The mean is the nominal value, wherever it lies between the limits.
func NormalFromNearerCapability(nominal, plus, minus, cpk float64) (Normal, error) {
	return Normal{nominal, min(plus, minus) / (3 * cpk)}, check("normal",
		finite("nominal", nominal), positive("plus", plus), positive("minus", minus), positive("cpk", cpk))
}

// tolerance requires limits around a nominal value that are not one point.
func tolerance(nominal, plus, minus float64) []requirement {
	return []requirement{
		finite("nominal", nominal), notNegative("plus", plus), notNegative("minus", minus),
		{"plus", plus, plus+minus > 0, "> 0 where minus is 0"},
	}
}

// Quantile returns mean + sd z, z the normal quantile at p.
func (n Normal) Quantile(p float64) float64 { return n.fromNormalScore(NormalQuantile(p)) }

// UpperQuantile returns mean - sd z, z the normal quantile at q.
func (n Normal) UpperQuantile(q float64) float64 { return n.fromNormalScore(-NormalQuantile(q)) }
func (n Normal) CDF(x float64) float64           { return NormalCDF(n.normalScore(x)) }
func (n Normal) Survival(x float64) float64      { return NormalSurvival(n.normalScore(x)) }

func (n Normal) LogDensity(x float64) float64 {
	return NormalLogDensity(n.normalScore(x)) - math.Log(n.sd)
}

func (n Normal) Mean() float64                { return n.mean }
func (n Normal) StdDev() float64              { return n.sd }
func (n Normal) Support() (low, high float64) { return math.Inf(-1), math.Inf(1) }

func (n Normal) fromNormalScore(z float64) float64 { return n.mean + float64(n.sd*z) }
func (n Normal) normalScore(x float64) float64     { return (x - n.mean) / n.sd }
