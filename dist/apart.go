package dist

import "math"

// Apart is a population of two lots of which one lies wholly below the other: a mixture whose
// quantile jumps at one probability, the share of the lower lot, and needs no search.
// Safe for concurrent use.
type Apart struct {
	lower, upper Distribution
	share        float64 // of the lower lot
}

// NewApart takes the share of the lower lot, in (0, 1), and the lots: the lower one must
// end below the start of the upper one. Other input gets a *ParameterError.
func NewApart(share float64, lower, upper Distribution) (Apart, error) {
	_, end := lower.Support()
	start, _ := upper.Support()
	err := check("apart",
		requirement{"share of the lower lot", share, share > 0 && share < 1, "in (0, 1)"},
		requirement{"end of the lower lot", end, end < start, "below the start of the upper lot"})
	return Apart{lower, upper, share}, err
}

// Jump returns the probability at which the quantile jumps from the lower lot to the upper one.
func (a Apart) Jump() float64 { return a.share }

// Quantile returns the smallest x with CDF(x) >= p.
func (a Apart) Quantile(p float64) float64 {
	if p <= a.share {
		return a.lower.Quantile(p / a.share)
	}
	return a.upper.Quantile(inUnit(p, (p-a.share)/(1-a.share)))
}

// UpperQuantile returns the smallest x with Survival(x) <= q.
func (a Apart) UpperQuantile(q float64) float64 {
	if rest := 1 - a.share; q < rest {
		return a.upper.UpperQuantile(q / rest)
	}
	return a.lower.UpperQuantile(inUnit(q, (q-(1-a.share))/a.share))
}

// CDF returns the weighted mean of the lots' P(X <= x).
func (a Apart) CDF(x float64) float64 { return a.share*a.lower.CDF(x) + (1-a.share)*a.upper.CDF(x) }

// Survival returns the weighted mean of the lots' P(X > x).
func (a Apart) Survival(x float64) float64 {
	return a.share*a.lower.Survival(x) + (1-a.share)*a.upper.Survival(x)
}

// LogDensity returns the logarithm of the density of the lot that x is of.
func (a Apart) LogDensity(x float64) float64 {
	if _, end := a.lower.Support(); x <= end {
		return math.Log(a.share) + a.lower.LogDensity(x)
	}
	return math.Log1p(-a.share) + a.upper.LogDensity(x)
}

// Mean returns the weighted mean of the lots' means.
func (a Apart) Mean() float64 {
	mean, _ := a.moments()
	return mean
}

// StdDev returns the standard deviation within and between the lots together.
func (a Apart) StdDev() float64 {
	_, variance := a.moments()
	return math.Sqrt(variance)
}

func (a Apart) moments() (mean, variance float64) {
	lower, upper := a.lower.StdDev(), a.upper.StdDev()
	return pooled([]float64{a.share, 1 - a.share}, []float64{a.lower.Mean(), a.upper.Mean()}, []float64{lower * lower, upper * upper})
}

// Support returns the lower lot's start and the upper lot's end.
func (a Apart) Support() (low, high float64) {
	low, _ = a.lower.Support()
	_, high = a.upper.Support()
	return low, high
}

// inUnit is a part of a probability p, which rounding may have brought above 1.
func inUnit(p, part float64) float64 {
	if p > 1 {
		return p
	}
	return min(1, part)
}
