package dist

import "math"

// Fixed is a value without spread. The cumulative probability jumps from 0 to 1
// at the value; the density there is infinite. Safe for concurrent use.
type Fixed struct{ value float64 }

// NewFixed returns the fixed value, any finite number; other input gets a
// *ParameterError.
func NewFixed(value float64) (Fixed, error) {
	return Fixed{value}, check("fixed", finite("value", value))
}

// Quantile returns the value for every p in [0, 1], NaN outside.
func (f Fixed) Quantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return f.value
}

func (f Fixed) UpperQuantile(q float64) float64 { return f.Quantile(q) }
func (f Fixed) CDF(x float64) float64           { return step(x, f.value) }
func (f Fixed) Survival(x float64) float64      { return 1 - step(x, f.value) }

// step is 1 from the edge on, 0 below, NaN for NaN.
func step(x, edge float64) float64 {
	switch {
	case x >= edge:
		return 1
	case x < edge:
		return 0
	}
	return math.NaN()
}

// LogDensity returns +Inf at the value, -Inf elsewhere.
func (f Fixed) LogDensity(x float64) float64 {
	if x == f.value {
		return math.Inf(1)
	}
	return math.Inf(-1)
}

func (f Fixed) Mean() float64                { return f.value }
func (f Fixed) StdDev() float64              { return 0 }
func (f Fixed) Support() (low, high float64) { return f.value, f.value }
