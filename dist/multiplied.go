package dist

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
