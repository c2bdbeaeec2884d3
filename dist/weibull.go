package dist

import "math"

// Weibull has survival exp(-t^shape) in t = (x - location)/scale, x >= location.
// With shape 2 it is the Rayleigh distribution, with shape 1 the exponential.
// Safe for concurrent use.
type Weibull struct{ shape, scale, location float64 }

// NewWeibull takes shape (> 0), scale (> 0) and the known lower end, location
// (0 where the quantity can come down to nothing); other input gets a
// *ParameterError.
func NewWeibull(shape, scale, location float64) (Weibull, error) {
	return Weibull{shape, scale, location}, check("weibull",
		positive("shape", shape), positive("scale", scale), finite("location", location))
}

// WeibullFromPercentiles takes two values location < x1 < x2 below which the
// probabilities p1 < p2 lie, and the known lower end.
func WeibullFromPercentiles(p1, x1, p2, x2, location float64) (Weibull, error) {
	if err := twoPercentiles("weibull", p1, x1, p2, x2); err != nil {
		return Weibull{}, err
	}
	// x - location = scale h^(1/shape), h = -ln(1-p) the cumulative hazard.
	hazard1, hazard2 := -math.Log1p(-p1), -math.Log1p(-p2)
	shape := math.Log(hazard2/hazard1) / math.Log((x2-location)/(x1-location))
	return Weibull{shape, (x1 - location) / math.Pow(hazard1, 1/shape), location}, check("weibull",
		finite("location", location), above(percentileKey(p1), x1, "location", location))
}

// WeibullFromMoments takes the mean (> location), the standard deviation (> 0)
// and the known lower end. sd/(mean-location) lies between 0.0005 and 20,
// which are shapes from about 2500 down to 0.2.
func WeibullFromMoments(mean, sd, location float64) (Weibull, error) {
	ratio := sd / (mean - location)
	if err := check("weibull", finite("location", location), above("mean", mean, "location", location),
		requirement{"sd", sd, ratio >= 0.0005 && ratio <= 20, "0.0005 to 20 times (mean - location)"}); err != nil {
		return Weibull{}, err
	}
	logShape := solveIncreasing(func(logShape float64) (value, slope float64) {
		return math.Log(ratio / unitWeibullRatio(math.Exp(logShape))), 0
	}, math.Log(0.15), math.Log(5000), 0)
	shape := math.Exp(logShape)
	return Weibull{shape, (mean - location) / math.Gamma(1+1/shape), location}, nil
}

// unitWeibullRatio is the ratio of standard deviation to mean with location 0:
// ratio^2 + 1 = Gamma(1+2/shape)/Gamma(1+1/shape)^2.
func unitWeibullRatio(shape float64) float64 {
	second, _ := math.Lgamma(1 + 2/shape)
	first, _ := math.Lgamma(1 + 1/shape)
	return math.Sqrt(math.Expm1(second - 2*first))
}

// NewRayleigh returns the Rayleigh distribution, the length of a vector with two
// independent normal components of standard deviation scale (> 0): a Weibull
// distribution of shape 2 and scale sqrt(2) scale.
func NewRayleigh(scale float64) (Weibull, error) {
	return Weibull{2, math.Sqrt2 * scale, 0}, check("rayleigh", positive("scale", scale))
}

// RayleighFromMean takes the mean (> 0), scale sqrt(pi/2).
func RayleighFromMean(mean float64) (Weibull, error) {
	return Weibull{2, mean * 2 / math.Sqrt(math.Pi), 0}, check("rayleigh", positive("mean", mean))
}

// RayleighFromPercentile takes the value x (> 0) below which the probability p
// lies.
func RayleighFromPercentile(p, x float64) (Weibull, error) {
	key := percentileKey(p)
	return Weibull{2, x / math.Sqrt(-math.Log1p(-p)), 0},
		check("rayleigh", fraction("the probability of "+key, p), positive(key, x))
}

// Quantile returns location + scale (-ln(1-p))^(1/shape).
func (w Weibull) Quantile(p float64) float64 {
	if !(p >= 0) {
		return math.NaN()
	}
	return w.atHazard(-math.Log1p(-p))
}

// UpperQuantile returns location + scale (-ln q)^(1/shape).
func (w Weibull) UpperQuantile(q float64) float64 {
	switch {
	case !(q <= 1):
		return math.NaN()
	case q > 0.5:
		return w.atHazard(-math.Log1p(q - 1))
	}
	return w.atHazard(-math.Log(q))
}

// atHazard uses exp(ln(h)/shape), half the time of Pow and equal to 1e-15
// |ln(h)/shape|; the square root of the Rayleigh distribution is faster still.
func (w Weibull) atHazard(h float64) float64 {
	if w.shape == 2 {
		return w.location + w.scale*math.Sqrt(h)
	}
	return w.location + w.scale*math.Exp(math.Log(h)/w.shape)
}

// hazard is the cumulative hazard -ln Survival(x).
func (w Weibull) hazard(x float64) float64 {
	return math.Pow(max(x-w.location, 0)/w.scale, w.shape)
}

func (w Weibull) CDF(x float64) float64      { return -math.Expm1(-w.hazard(x)) }
func (w Weibull) Survival(x float64) float64 { return math.Exp(-w.hazard(x)) }

func (w Weibull) LogDensity(x float64) float64 {
	t := (x - w.location) / w.scale
	if t < 0 {
		return math.Inf(-1)
	}
	return math.Log(w.shape/w.scale) + timesLog(w.shape-1, t) - w.hazard(x)
}

// timesLog is a ln(t), with 0 ln(0) = 0.
func timesLog(a, t float64) float64 {
	if a == 0 {
		return 0
	}
	return a * math.Log(t)
}

func (w Weibull) Mean() float64 { return w.location + w.scale*math.Gamma(1+1/w.shape) }

// StdDev returns scale sqrt(Gamma(1+2/shape) - Gamma(1+1/shape)^2), relative
// error 1e-16 shape^2 for large shapes.
func (w Weibull) StdDev() float64 {
	return w.scale * math.Gamma(1+1/w.shape) * unitWeibullRatio(w.shape)
}

func (w Weibull) Support() (low, high float64) { return w.location, math.Inf(1) }
