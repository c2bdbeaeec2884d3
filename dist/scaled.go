package dist

import "math"

// scaled is offset + factor X, factor > 0.
type scaled struct {
	base           Distribution
	factor, offset float64
}

func newScaled(d Distribution, factor, offset float64) Distribution {
	switch base := d.(type) {
	case Fixed:
		return Fixed{offset + factor*base.value}
	case scaled:
		return scaled{base.base, factor * base.factor, offset + factor*base.offset}
	}
	return scaled{d, factor, offset}
}

// Shifted returns d moved by delta (finite; in the unit of d): cuts and the ends
// of the support move along. Other input gets a *ParameterError.
func Shifted(d Distribution, delta float64) (Distribution, error) {
	if err := check("shifted", finite("delta", delta)); err != nil {
		return nil, err
	}
	return newScaled(d, 1, delta), nil
}

// WithSpread returns d with its spread shrunk or stretched about its mean (its
// median where the mean does not exist), cuts and ends of the support included.
// factor is 0 for the mean as a fixed value, 0.5 for half the standard
// deviation; a factor that is negative or not finite gets a *ParameterError.
func WithSpread(d Distribution, factor float64) (Distribution, error) {
	if err := check("spread", notNegative("factor", factor)); err != nil {
		return nil, err
	}
	centre := d.Mean()
	if math.IsNaN(centre) || math.IsInf(centre, 0) {
		centre = d.Quantile(0.5)
	}
	switch factor {
	case 0:
		return Fixed{centre}, nil
	case 1:
		return d, nil
	}
	return newScaled(d, factor, centre*(1-factor)), nil
}

func (s scaled) value(base float64) float64 { return s.offset + s.factor*base }
func (s scaled) unit(x float64) float64     { return (x - s.offset) / s.factor }

func (s scaled) Quantile(p float64) float64      { return s.value(s.base.Quantile(p)) }
func (s scaled) UpperQuantile(q float64) float64 { return s.value(s.base.UpperQuantile(q)) }
func (s scaled) CDF(x float64) float64           { return s.base.CDF(s.unit(x)) }
func (s scaled) Survival(x float64) float64      { return s.base.Survival(s.unit(x)) }
func (s scaled) LogDensity(x float64) float64 {
	return s.base.LogDensity(s.unit(x)) - math.Log(s.factor)
}
func (s scaled) Mean() float64   { return s.value(s.base.Mean()) }
func (s scaled) StdDev() float64 { return s.factor * s.base.StdDev() }

func (s scaled) Support() (low, high float64) {
	low, high = s.base.Support()
	return s.value(low), s.value(high)
}

func (s scaled) fromNormalScore(z float64) float64 { return s.value(FromNormalScore(s.base, z)) }
func (s scaled) normalScore(x float64) float64     { return NormalScore(s.base, s.unit(x)) }

// Multiplied returns factor·X: location, spread, cuts and ends of the support
// all grow with the factor, as a flatness tolerance does that is given twice
// the room. factor is 0 or above and finite, 0 for the fixed value 0; other
// input gets a *ParameterError.
func Multiplied(d Distribution, factor float64) (Distribution, error) {
	if err := check("multiplied", notNegative("factor", factor)); err != nil {
		return nil, err
	}
	if factor == 0 {
		return Fixed{0}, nil
	}
	return newScaled(d, factor, 0), nil
}

// WithCuts returns the same distribution cut elsewhere: both cuts at
// factor times their distance from the mean of what was left between them. A
// side that was not cut stays uncut; cuts that reach the ends of the support
// vanish. factor > 0; one that is not, or leaves nothing, gets a
// *ParameterError.
func (t Truncated) WithCuts(factor float64) (Distribution, error) {
	if err := check("cuts", positive("factor", factor)); err != nil {
		return nil, err
	}
	low, high := t.base.Support()
	if t.below > 0 {
		low = t.mean - factor*(t.mean-t.low)
	}
	if t.above > 0 {
		high = t.mean + factor*(t.high-t.mean)
	}
	return NewTruncated(t.base, low, high)
}
