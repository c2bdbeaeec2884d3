package dist

import "math"

// Uniform is the distribution of equal density between two limits. Safe for
// concurrent use.
type Uniform struct{ low, high float64 }

// NewUniform takes the limits low < high, both finite; other input gets a
// *ParameterError.
func NewUniform(low, high float64) (Uniform, error) {
	return Uniform{low, high}, check("uniform", finite("low", low), above("high", high, "low", low))
}

// UniformFromTolerance takes a nominal value and the distances of the limits
// above and below it (each >= 0, not both 0).
func UniformFromTolerance(nominal, plus, minus float64) (Uniform, error) {
	return Uniform{nominal - minus, nominal + plus},
		check("uniform", tolerance(nominal, plus, minus)...)
}

// UniformFromMoments takes the mean and the standard deviation (> 0): the
// limits are mean -+ sqrt(3) sd.
func UniformFromMoments(mean, sd float64) (Uniform, error) {
	half := math.Sqrt(3) * sd
	return Uniform{mean - half, mean + half}, check("uniform", finite("mean", mean), positive("sd", sd))
}

// Quantile returns the point at the fraction p of the way from low to high.
func (u Uniform) Quantile(p float64) float64 { return u.at(p, 1-p) }

// UpperQuantile returns the point at the fraction q of the way from high to low.
func (u Uniform) UpperQuantile(q float64) float64 { return u.at(1-q, q) }

// at is the value with the probability p below it and q above, from the nearer end.
func (u Uniform) at(p, q float64) float64 {
	switch {
	case !(p >= 0 && q >= 0):
		return math.NaN()
	case q < p:
		return u.high - float64(q*(u.high-u.low))
	}
	return u.low + float64(p*(u.high-u.low))
}

// CDF returns (x - low)/(high - low), 0 below and 1 above.
func (u Uniform) CDF(x float64) float64 { return clampFraction((x - u.low) / (u.high - u.low)) }

// Survival returns (high - x)/(high - low), 1 below and 0 above.
func (u Uniform) Survival(x float64) float64 { return clampFraction((u.high - x) / (u.high - u.low)) }

// clampFraction holds a probability within [0, 1]; NaN stays NaN.
func clampFraction(p float64) float64 { return min(max(p, 0), 1) }

// LogDensity returns -ln(high - low) between the limits.
func (u Uniform) LogDensity(x float64) float64 {
	if x < u.low || x > u.high {
		return math.Inf(-1)
	}
	return -math.Log(u.high - u.low)
}

func (u Uniform) Mean() float64                { return u.low + (u.high-u.low)/2 }
func (u Uniform) StdDev() float64              { return (u.high - u.low) / math.Sqrt(12) }
func (u Uniform) Support() (low, high float64) { return u.low, u.high }
