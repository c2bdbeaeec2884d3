package fit

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"clampodds/dist"
)

// WithReadings returns the predictive distribution of a shape whose parameters
// come from a number of readings (3 or more): what Predictive gives, from the
// parameters alone. It is what "readings = 12" in a study means.
//
// For the normal shape it is Student's t about mean with sd as the standard
// deviation of the readings (n-1); for the uniform shape, low and high are the
// smallest and the largest reading. For the others the likelihood of n readings
// is taken as n times its mean under the shape. Cuts stay where they are.
// Shapes that cannot be fitted, and other input, get an error.
func WithReadings(s dist.Spec, readings int) (dist.Distribution, error) {
	n := float64(readings)
	if readings < 3 {
		return nil, refuse("readings", n, ">= 3")
	}
	if !slices.Contains(Families(), Family(s.Shape)) {
		return nil, fmt.Errorf("%s: readings can be given for %v only", s.Shape, Families())
	}
	uncut, kept := withoutCuts(s)
	d, err := dist.FromSpec(uncut)
	if err != nil {
		return nil, err
	}
	if location := uncut.Values["location"]; s.Shape == string(Weibull) && location != 0 {
		return nil, &dist.ParameterError{Shape: s.Shape, Parameter: "location", Value: location, Allowed: "0 where readings are given"}
	}
	switch family := Family(s.Shape); family {
	case Normal:
		t, err := student(n, d.Mean(), d.StdDev())
		if err != nil {
			return nil, err
		}
		return dist.NewTruncated(t, kept.Low, kept.High)
	case Uniform:
		low, high := d.Support()
		return dist.NewTruncated(uniformPredictive{low, high, n}, kept.Low, kept.High)
	default:
		return expected(d, family, kept, n)
	}
}

// withoutCuts takes the cuts off a Spec; the range is infinite without.
func withoutCuts(s dist.Spec) (uncut dist.Spec, kept Range) {
	uncut, kept = dist.Spec{Shape: s.Shape, Values: maps.Clone(s.Values)}, wholeLine
	keys := []string{"cut_low", "cut_high"}
	if s.Shape != string(Beta) && s.Shape != string(Uniform) {
		keys = append(keys, "low", "high")
	}
	for _, key := range keys {
		x, given := uncut.Values[key]
		if !given {
			continue
		}
		delete(uncut.Values, key)
		if key == "cut_low" || key == "low" {
			kept.Low = x
		} else {
			kept.High = x
		}
	}
	return uncut, kept
}

// expected averages the family over n times the mean log-likelihood under d,
// which is largest at d itself. The mean is a sum over normal scores an eighth
// apart, exact to rounding.
func expected(d dist.Distribution, family Family, kept Range, n float64) (dist.Distribution, error) {
	s := &Sample{n: n, mean: d.Mean(), sd: d.StdDev()}
	if family == Beta {
		s.data.BetaLimits.Low, s.data.BetaLimits.High = d.Support()
	}
	low, high := d.Support()
	for z := -8.0; z <= 8; z += 0.125 {
		if x := dist.FromNormalScore(d, z); x > low && x < high { // not rounded to an end
			s.exact = append(s.exact, point{x, 0.125 * n * math.Exp(dist.NormalLogDensity(z))})
		}
	}
	if family == Lognormal { // sigma_ln has n-1 in the denominator, the maximum n
		median := d.Quantile(0.5)
		for i := range s.exact {
			s.exact[i].x = median * math.Pow(s.exact[i].x/median, math.Sqrt((n-1)/n))
		}
	}
	best, err := s.maximum(family)
	if err != nil {
		return nil, err
	}
	g := &gridUncertainty{model: best.model, posterior: best.posterior(n, 0), centre: s.mean}
	if kept != wholeLine {
		g.kept = kept
	}
	return g.predictive()
}
