package dist

import "math"

// Gumbel is the extreme-value distribution of a largest value (type I): CDF
// exp(-exp(-(x-location)/scale)). Safe for concurrent use.
type Gumbel struct{ location, scale float64 }

const eulerGamma = 0.577215664901532860606512090082402431042159335939923598805767 // Euler-Mascheroni

// NewGumbel takes the most likely value, location (finite), and scale (> 0);
// other input gets a *ParameterError.
func NewGumbel(location, scale float64) (Gumbel, error) {
	return Gumbel{location, scale}, check("gumbel", finite("location", location), positive("scale", scale))
}

// GumbelFromMoments takes the mean and the standard deviation (> 0):
// sd = pi scale/sqrt(6), mean = location + 0.5772 scale.
func GumbelFromMoments(mean, sd float64) (Gumbel, error) {
	scale := sd * math.Sqrt(6) / math.Pi
	return Gumbel{mean - eulerGamma*scale, scale}, check("gumbel", finite("mean", mean), positive("sd", sd))
}

// GumbelFromCoefficient takes the mean (not 0) and the coefficient of variation
// cov = sd/|mean| (> 0).
func GumbelFromCoefficient(mean, cov float64) (Gumbel, error) {
	if err := check("gumbel", requirement{"mean", mean, mean != 0, "other than 0 where cov is given"},
		positive("cov", cov)); err != nil {
		return Gumbel{}, err
	}
	return GumbelFromMoments(mean, cov*math.Abs(mean))
}

// GumbelFromPercentiles takes two values x1 < x2 below which the probabilities
// p1 < p2 lie.
func GumbelFromPercentiles(p1, x1, p2, x2 float64) (Gumbel, error) {
	unit := Gumbel{0, 1}
	y1, y2 := unit.Quantile(p1), unit.Quantile(p2)
	scale := (x2 - x1) / (y2 - y1)
	return Gumbel{x1 - scale*y1, scale}, twoPercentiles("gumbel", p1, x1, p2, x2)
}

// Quantile returns location - scale ln(-ln p).
func (g Gumbel) Quantile(p float64) float64 {
	if p > 0.5 {
		return g.UpperQuantile(1 - p)
	}
	return g.location - g.scale*math.Log(-math.Log(p))
}

// UpperQuantile returns location - scale ln(-ln(1-q)).
func (g Gumbel) UpperQuantile(q float64) float64 {
	return g.location - g.scale*math.Log(-math.Log1p(-q))
}

func (g Gumbel) reduced(x float64) float64  { return (x - g.location) / g.scale }
func (g Gumbel) CDF(x float64) float64      { return math.Exp(-math.Exp(-g.reduced(x))) }
func (g Gumbel) Survival(x float64) float64 { return -math.Expm1(-math.Exp(-g.reduced(x))) }

func (g Gumbel) LogDensity(x float64) float64 {
	y := g.reduced(x)
	return -y - math.Exp(-y) - math.Log(g.scale)
}

func (g Gumbel) Mean() float64                { return g.location + eulerGamma*g.scale }
func (g Gumbel) StdDev() float64              { return math.Pi * g.scale / math.Sqrt(6) }
func (g Gumbel) Support() (low, high float64) { return math.Inf(-1), math.Inf(1) }
