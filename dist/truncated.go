package dist

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/integrate/quad"
)

// Truncated is what is left of a distribution between two cuts: parts outside
// have been rejected, the rest share their probability.
//
// Every probability is taken from the smaller tail of the base, the distribution before the cuts,
// so that a cut far out in either tail keeps its digits. A cut that leaves the
// fraction k of a stretch in the middle loses a factor 1/k: the relative error
// is 1e-16/k there. Within 1e-16/k of a cut, in probability, CDF and Survival
// are as coarse as the cut itself. Safe for concurrent use.
type Truncated struct {
	base            Distribution
	low, high       float64
	below, notBelow float64 // P(X <= low) and P(X > low) of the base
	above, notAbove float64 // P(X > high) and P(X <= high) of the base
	kept            float64
	mean, sd        float64
}

// NewTruncated cuts d at low and high; -Inf or +Inf leave a side uncut. Cuts
// outside the support change nothing. Readings that are resampled are cut one
// by one, those at a cut are kept; otherwise d is taken as continuous at the
// cuts. low >= high, NaN and cuts that leave nothing get a *ParameterError with
// the parameters cut_low and cut_high.
func NewTruncated(d Distribution, low, high float64) (Distribution, error) {
	if !(low < high) {
		return nil, &ParameterError{"truncation", "cut_high", high, "> cut_low"}
	}
	if r, ok := d.(Resampled); ok {
		return r.between(low, high)
	}
	start, end := d.Support()
	switch {
	case low <= start && high >= end:
		return d, nil
	case low >= end:
		return nil, &ParameterError{"truncation", "cut_low", low, "low enough to leave something"}
	case high <= start:
		return nil, &ParameterError{"truncation", "cut_high", high, "high enough to leave something"}
	}
	t := Truncated{base: d, low: max(low, start), high: min(high, end)}
	t.below, t.notBelow = d.CDF(t.low), d.Survival(t.low)
	t.above, t.notAbove = d.Survival(t.high), d.CDF(t.high)
	switch {
	case t.below > 0.5:
		t.kept = t.notBelow - t.above
	case t.notAbove < 0.5:
		t.kept = t.notAbove - t.below
	default:
		t.kept = 1 - t.below - t.above
	}
	if !(t.kept > 0) {
		return nil, &ParameterError{"truncation", "cut_low", low, "low enough to leave something"}
	}
	t.mean, t.sd = t.moments()
	return t, nil
}

// between returns the readings from low to high, both included.
func (r Resampled) between(low, high float64) (Distribution, error) {
	first := sort.SearchFloat64s(r.sorted, low)
	end := r.atMost(high)
	if first >= end {
		return nil, &ParameterError{"truncation", "cut_low", low, "low enough to leave a reading up to cut_high"}
	}
	return Resampled{r.sorted[first:end]}, nil
}

// Kept returns the fraction of the base that lies between the cuts.
func (t Truncated) Kept() float64                   { return t.kept }
func (t Truncated) Quantile(p float64) float64      { return t.at(p, 1-p) }
func (t Truncated) UpperQuantile(q float64) float64 { return t.at(1-q, q) }

// at is the value with the probability p of what is left below it and q above.
func (t Truncated) at(p, q float64) float64 {
	below, above := t.below+float64(p*t.kept), t.above+float64(q*t.kept)
	x := 0.0
	switch {
	case !(p >= 0 && q >= 0):
		return math.NaN()
	case p == 0:
		return t.low
	case q == 0:
		return t.high
	case below <= above:
		x = t.base.Quantile(below)
	default:
		x = t.base.UpperQuantile(above)
	}
	return min(max(x, t.low), t.high)
}

func (t Truncated) CDF(x float64) float64 {
	if t.below > 0.5 {
		return clampFraction((t.notBelow - t.base.Survival(x)) / t.kept)
	}
	return clampFraction((t.base.CDF(x) - t.below) / t.kept)
}

func (t Truncated) Survival(x float64) float64 {
	if t.notAbove < 0.5 {
		return clampFraction((t.notAbove - t.base.CDF(x)) / t.kept)
	}
	return clampFraction((t.base.Survival(x) - t.above) / t.kept)
}

// LogDensity returns that of the base less ln(Kept), -Inf outside the cuts.
func (t Truncated) LogDensity(x float64) float64 {
	if x < t.low || x > t.high {
		return math.Inf(-1)
	}
	return t.base.LogDensity(x) - math.Log(t.kept)
}

// Mean returns the mean of what is left, from a quadrature: 1e-12 of the
// standard deviation where the density is smooth between the cuts, 1e-5 where
// it has a corner or a step.
func (t Truncated) Mean() float64 { return t.mean }

// StdDev returns the standard deviation of what is left, as accurate as Mean.
func (t Truncated) StdDev() float64 { return t.sd }

// moments integrates the quantile over the normal score z, in which it is
// smooth: E[X] = integral of x(z) phi(z), sixteen Gauss points on every unit of z.
func (t Truncated) moments() (mean, sd float64) {
	start, end := -9.0, 9.0 // 1e-19 in each tail where it is cut
	if math.IsInf(t.low, -1) {
		start = -37
	}
	if math.IsInf(t.high, 1) {
		end = 37
	}
	if start < -9 || end > 9 { // an uncut tail may be too heavy for a moment
		if mean, sd = t.base.Mean(), t.base.StdDev(); math.IsNaN(mean) || math.IsInf(sd, 1) {
			return mean, sd
		}
	}
	middle := t.Quantile(0.5)
	first, second := 0.0, 0.0
	for z := start; z < end; z++ {
		first += quad.Fixed(func(z float64) float64 {
			return (FromNormalScore(t, z) - middle) * math.Exp(NormalLogDensity(z))
		}, z, z+1, 16, nil, 0)
		second += quad.Fixed(func(z float64) float64 {
			x := FromNormalScore(t, z) - middle
			return x * x * math.Exp(NormalLogDensity(z))
		}, z, z+1, 16, nil, 0)
	}
	return middle + first, math.Sqrt(second - first*first)
}

// Support returns the cuts, or the ends of the base where they are nearer.
func (t Truncated) Support() (low, high float64) { return t.low, t.high }

// Uncut returns the distribution before the cuts, and the cuts: infinite on a
// side that is not cut.
func (t Truncated) Uncut() (d Distribution, low, high float64) {
	low, high = math.Inf(-1), math.Inf(1)
	if t.below > 0 {
		low = t.low
	}
	if t.above > 0 {
		high = t.high
	}
	return t.base, low, high
}
