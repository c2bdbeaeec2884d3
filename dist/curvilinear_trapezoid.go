package dist

import "math"

// CurvilinearTrapezoid is a uniform distribution whose limits are themselves
// only known within -+inexactness: the half-width is uniform between
// (high-low)/2 -+ inexactness (JCGM 101:2008, 6.4.3). Quantiles are searched
// for, about 1 us each. Safe for concurrent use.
type CurvilinearTrapezoid struct{ low, high, inexactness float64 }

// NewCurvilinearTrapezoid takes the limits low < high and their inexactness,
// above 0 and below (high-low)/2; other input gets a *ParameterError.
func NewCurvilinearTrapezoid(low, high, inexactness float64) (CurvilinearTrapezoid, error) {
	return CurvilinearTrapezoid{low, high, inexactness}, check("curvilinear-trapezoid",
		finite("low", low), above("high", high, "low", low), positive("inexactness", inexactness),
		requirement{"inexactness", inexactness, inexactness < (high-low)/2, "< (high - low)/2"})
}

func (c CurvilinearTrapezoid) Quantile(p float64) float64 {
	switch low, _ := c.Support(); {
	case p == 0:
		return low
	case p > 0 && p <= 0.5:
		return lowerTailRoot(c.CDF, c.LogDensity, p, low, c.Mean(), c.low)
	case p > 0.5 && p <= 1: // symmetric
		return 2*c.Mean() - c.Quantile(1-p)
	}
	return math.NaN()
}

func (c CurvilinearTrapezoid) UpperQuantile(q float64) float64 { return 2*c.Mean() - c.Quantile(q) }

func (c CurvilinearTrapezoid) CDF(x float64) float64 {
	if x > c.Mean() {
		return 1 - c.CDF(2*c.Mean()-x) // at least 1/2: nothing is lost
	}
	widest, edge := c.widths()
	low, _ := c.Support()
	e := max(x-low, 0) / widest // 1 - (distance from the middle)/widest
	area := logSeries(min(e, edge)) - max(e-edge, 0)*math.Log1p(-edge)
	return area / (2 * edge)
}

// widths returns the largest half-width there can be and the part of it that is
// not certain: 1 - smallest/largest. Both are from the lower end as it is rounded,
// so that the halves meet in the middle at 1/2 however far from zero they lie.
func (c CurvilinearTrapezoid) widths() (widest, edge float64) {
	low, _ := c.Support()
	widest = c.Mean() - low
	return widest, min(2*c.inexactness/widest, 1-0x1p-53)
}

// logSeries is e + (1-e) ln(1-e), the integral of -ln(1-e); its series,
// e^2/2 + e^3/6 + e^4/12 + ..., where the closed form cancels.
func logSeries(e float64) float64 {
	if e > 0.1 {
		return e + (1-e)*math.Log1p(-e)
	}
	sum, power := 0.0, e*e
	for k := 2.0; k <= 17; k++ {
		sum += power / (k * (k - 1))
		power *= e
	}
	return sum
}

func (c CurvilinearTrapezoid) Survival(x float64) float64 { return c.CDF(2*c.Mean() - x) }

// LogDensity returns the logarithm of ln(widest/|x - mean|)/(4 inexactness),
// the flat middle taken at the narrowest half-width.
func (c CurvilinearTrapezoid) LogDensity(x float64) float64 {
	widest, edge := c.widths()
	distance := math.Abs(x - c.Mean())
	if distance >= widest {
		return math.Inf(-1)
	}
	return math.Log(min(math.Log(widest/distance), -math.Log1p(-edge)) / (2 * edge * widest))
}

func (c CurvilinearTrapezoid) Mean() float64 { return c.low + (c.high-c.low)/2 }

// StdDev returns sqrt((high-low)^2/12 + inexactness^2/9).
func (c CurvilinearTrapezoid) StdDev() float64 {
	return math.Hypot((c.high-c.low)/math.Sqrt(12), c.inexactness/3)
}

// Support returns the limits widened by their inexactness, equally far from the
// mean.
func (c CurvilinearTrapezoid) Support() (low, high float64) {
	low = c.low - c.inexactness
	return low, 2*c.Mean() - low
}
