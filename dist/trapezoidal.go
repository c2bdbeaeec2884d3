package dist

import "math"

// Trapezoidal rises linearly from low to lowMode, is flat to highMode and falls
// linearly to high; with the modes equal it is the triangular distribution.
// Safe for concurrent use.
type Trapezoidal struct{ low, lowMode, highMode, high float64 }

// NewTrapezoidal takes low <= lowMode <= highMode <= high, low < high; other
// input gets a *ParameterError.
func NewTrapezoidal(low, lowMode, highMode, high float64) (Trapezoidal, error) {
	return Trapezoidal{low, lowMode, highMode, high}, check("trapezoidal",
		finite("low", low), notBelow("low_mode", lowMode, "low", low), notBelow("high_mode", highMode, "low_mode", lowMode),
		notBelow("high", high, "high_mode", highMode), above("high", high, "low", low))
}

// NewTriangular returns the triangular distribution with its limits and its
// most likely value, low <= mode <= high, low < high.
func NewTriangular(low, mode, high float64) (Trapezoidal, error) {
	return Trapezoidal{low, mode, mode, high}, check("triangular",
		finite("low", low), notBelow("mode", mode, "low", low),
		notBelow("high", high, "mode", mode), above("high", high, "low", low))
}

// TriangularFromTolerance takes the most likely value and the distances of the
// limits above and below it (each >= 0, not both 0).
func TriangularFromTolerance(nominal, plus, minus float64) (Trapezoidal, error) {
	return Trapezoidal{nominal - minus, nominal, nominal, nominal + plus},
		check("triangular", tolerance(nominal, plus, minus)...)
}

// profile is the density seen from one end: a ramp up, a flat, a ramp down.
type profile struct{ rise, flat, fall float64 }

func (t Trapezoidal) fromLow() profile {
	return profile{t.lowMode - t.low, t.highMode - t.lowMode, t.high - t.highMode}
}

func (t Trapezoidal) fromHigh() profile {
	return profile{t.high - t.highMode, t.highMode - t.lowMode, t.lowMode - t.low}
}

// height is the density of the flat: the area is height (rise + 2 flat + fall)/2 = 1.
func (f profile) height() float64 { return 2 / (f.rise + 2*f.flat + f.fall) }

// area is the probability within the distance d of the end.
func (f profile) area(d float64) float64 {
	h := f.height()
	switch {
	case !(d > 0): // NaN stays NaN
		return 0 * d
	case d < f.rise:
		return h * d * d / (2 * f.rise)
	case d <= f.rise+f.flat:
		return h * (f.rise/2 + d - f.rise)
	case d < f.rise+f.flat+f.fall:
		into := d - f.rise - f.flat
		return h * (f.rise/2 + f.flat + into*(1-into/(2*f.fall)))
	}
	return 1
}

// distance is the inverse of area, for probabilities in [0, 1].
func (f profile) distance(p float64) float64 {
	area := p / f.height()
	if area < f.rise/2 {
		return math.Sqrt(2 * area * f.rise)
	}
	area -= f.rise / 2
	if area <= f.flat {
		return f.rise + area
	}
	// into - into^2/(2 fall) = area, the smaller root without cancellation.
	area -= f.flat
	into := 2 * area / (1 + math.Sqrt(max(0, 1-2*area/f.fall)))
	return f.rise + f.flat + into
}

// Quantile returns the closed inverse of the piecewise quadratic CDF.
func (t Trapezoidal) Quantile(p float64) float64 { return t.at(p, 1-p) }

// UpperQuantile returns the closed inverse of Survival.
func (t Trapezoidal) UpperQuantile(q float64) float64 { return t.at(1-q, q) }

// at is the value with the probability p below it and q above, from the nearer end.
func (t Trapezoidal) at(p, q float64) float64 {
	switch {
	case !(p >= 0 && q >= 0):
		return math.NaN()
	case q < p:
		return t.high - t.fromHigh().distance(q)
	}
	return t.low + t.fromLow().distance(p)
}

func (t Trapezoidal) CDF(x float64) float64      { return t.fromLow().area(x - t.low) }
func (t Trapezoidal) Survival(x float64) float64 { return t.fromHigh().area(t.high - x) }

func (t Trapezoidal) LogDensity(x float64) float64 {
	f := t.fromLow()
	switch {
	case x < t.low || x > t.high:
		return math.Inf(-1)
	case x < t.lowMode:
		return math.Log(f.height() * (x - t.low) / f.rise)
	case x > t.highMode:
		return math.Log(f.height() * (t.high - x) / f.fall)
	}
	return math.Log(f.height())
}

// Mean returns the mean of the two ramps and the flat, each at its centroid.
func (t Trapezoidal) Mean() float64 {
	mean, _ := t.moments()
	return mean
}

// StdDev returns the standard deviation, put together in the same way.
func (t Trapezoidal) StdDev() float64 {
	_, sd := t.moments()
	return sd
}

// moments adds the parts with their weights, centroids (from low) and own
// variances: rise^2/18 for a ramp, flat^2/12 for the flat.
func (t Trapezoidal) moments() (mean, sd float64) {
	f := t.fromLow()
	h := f.height()
	weights := [3]float64{h * f.rise / 2, h * f.flat, h * f.fall / 2}
	means := [3]float64{2 * f.rise / 3, f.rise + f.flat/2, f.rise + f.flat + f.fall/3}
	variances := [3]float64{f.rise * f.rise / 18, f.flat * f.flat / 12, f.fall * f.fall / 18}
	mean, variance := pooled(weights[:], means[:], variances[:])
	return t.low + mean, math.Sqrt(variance)
}

// pooled returns the mean and the variance of a mixture of parts whose weights
// add to 1: the variance is that within plus that between the parts.
func pooled(weights, means, variances []float64) (mean, variance float64) {
	for i, w := range weights {
		mean += w * means[i]
	}
	for i, w := range weights {
		variance += w * (variances[i] + (means[i]-mean)*(means[i]-mean))
	}
	return mean, variance
}

func (t Trapezoidal) Support() (low, high float64) { return t.low, t.high }
