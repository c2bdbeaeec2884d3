package dist

import "math"

// HalfNormal is the distribution of |Z|, Z normal with mean 0 and standard
// deviation scale: a size that is mostly small and never negative. Safe for
// concurrent use.
type HalfNormal struct{ scale float64 }

// NewHalfNormal takes the standard deviation of the whole normal distribution,
// scale (> 0); other input gets a *ParameterError.
func NewHalfNormal(scale float64) (HalfNormal, error) {
	return HalfNormal{scale}, check("half-normal", positive("scale", scale))
}

// HalfNormalFromMean takes the mean (> 0), scale sqrt(2/pi).
func HalfNormalFromMean(mean float64) (HalfNormal, error) {
	return HalfNormal{mean * math.Sqrt(math.Pi/2)}, check("half-normal", positive("mean", mean))
}

// HalfNormalFromPercentile takes the value x (> 0) below which the probability
// p lies.
func HalfNormalFromPercentile(p, x float64) (HalfNormal, error) {
	key := percentileKey(p)
	return HalfNormal{x / HalfNormal{1}.Quantile(p)},
		check("half-normal", fraction("the probability of "+key, p), positive(key, x))
}

// Quantile returns scale z, z the normal quantile at (1+p)/2.
func (h HalfNormal) Quantile(p float64) float64 { return h.at(p, 1-p) }

// UpperQuantile returns scale z, z the normal quantile at 1 - q/2.
func (h HalfNormal) UpperQuantile(q float64) float64 { return h.at(1-q, q) }

// at is the value with the probability p below it and q above. The factor p/2 of
// the table's quantile keeps all digits near 0.
func (h HalfNormal) at(p, q float64) float64 {
	if !(p >= 0 && q >= 0) {
		return math.NaN()
	}
	if cell, s := findCell(q / 2); cell != nil {
		return h.scale * (p / 2) * cell.at(s)
	}
	return -h.scale * rareQuantile(q/2)
}

func (h HalfNormal) CDF(x float64) float64 { return math.Erf(max(x, 0) / h.scale / math.Sqrt2) }

// Survival returns erfc(x/(scale sqrt 2)), 1 for x <= 0.
func (h HalfNormal) Survival(x float64) float64 {
	return math.Erfc(max(x, 0) / h.scale / math.Sqrt2)
}

// LogDensity returns the logarithm of twice the normal density, -Inf for x < 0.
func (h HalfNormal) LogDensity(x float64) float64 {
	if x < 0 {
		return math.Inf(-1)
	}
	return math.Ln2 + NormalLogDensity(x/h.scale) - math.Log(h.scale)
}

func (h HalfNormal) Mean() float64                { return h.scale * math.Sqrt(2/math.Pi) }
func (h HalfNormal) StdDev() float64              { return h.scale * math.Sqrt(1-2/math.Pi) }
func (h HalfNormal) Support() (low, high float64) { return 0, math.Inf(1) }
