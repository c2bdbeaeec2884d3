package dist

import "math"

// Arcsine is the distribution of a quantity that cycles sinusoidally between
// two limits (JCGM 101:2008, 6.4.6). Safe for concurrent use.
type Arcsine struct{ low, high float64 }

// NewArcsine takes the limits low < high, both finite; other input gets a
// *ParameterError.
func NewArcsine(low, high float64) (Arcsine, error) {
	return Arcsine{low, high}, check("arcsine", finite("low", low), above("high", high, "low", low))
}

// Quantile returns low + (high - low) sin(pi p/2)^2.
func (a Arcsine) Quantile(p float64) float64 { return a.at(p, 1-p) }

// UpperQuantile returns high - (high - low) sin(pi q/2)^2.
func (a Arcsine) UpperQuantile(q float64) float64 { return a.at(1-q, q) }

// at is the value with the probability p below it and q above, from the nearer end.
func (a Arcsine) at(p, q float64) float64 {
	s := math.Sin(math.Pi / 2 * min(p, q))
	distance := (a.high - a.low) * s * s
	switch {
	case !(p >= 0 && q >= 0):
		return math.NaN()
	case q < p:
		return a.high - distance
	}
	return a.low + distance
}

// CDF returns (2/pi) asin(sqrt((x - low)/(high - low))).
func (a Arcsine) CDF(x float64) float64 { return a.within(x - a.low) }

// Survival returns (2/pi) asin(sqrt((high - x)/(high - low))).
func (a Arcsine) Survival(x float64) float64 { return a.within(a.high - x) }

// within is the probability within a distance of one end.
func (a Arcsine) within(distance float64) float64 {
	return 2 / math.Pi * math.Asin(math.Sqrt(clampFraction(distance/(a.high-a.low))))
}

// LogDensity returns -ln(pi sqrt((x-low)(high-x))), +Inf at the limits.
func (a Arcsine) LogDensity(x float64) float64 {
	if x < a.low || x > a.high {
		return math.Inf(-1)
	}
	return -math.Log(math.Pi) - 0.5*(math.Log(x-a.low)+math.Log(a.high-x))
}

func (a Arcsine) Mean() float64                { return a.low + (a.high-a.low)/2 }
func (a Arcsine) StdDev() float64              { return (a.high - a.low) / math.Sqrt(8) }
func (a Arcsine) Support() (low, high float64) { return a.low, a.high }
