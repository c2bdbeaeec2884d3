package calibrate

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/interp"

	"clampodds/dist"
)

// Marginal is what is known of one parameter after the readings. Safe for
// concurrent use.
type Marginal struct {
	Name  string
	Prior dist.Distribution

	// The logarithm of the density over the normal scores of the prior is a cubic
	// spline through the grid: exact for a normal posterior.
	curve  interp.NotAKnotCubic
	knots  []float64
	before []float64 // probability below each knot
}

// gaussPoints of a Gauss-Legendre rule per interval of the grid: exact to rounding
// for the exponential of a cubic over a quarter to three quarters of a standard
// deviation.
const gaussPoints = 12

func newMarginal(q Parameter, scores, logs []float64) (*Marginal, error) {
	m := &Marginal{Name: q.Name, Prior: q.Prior}
	// Slices without mass say nothing and would bend the spline.
	most := math.Inf(-1)
	for _, l := range logs {
		most = math.Max(most, l)
	}
	var shown []float64
	for i, l := range logs {
		if l > most-60 {
			m.knots, shown = append(m.knots, scores[i]), append(shown, l-most)
		}
	}
	if err := m.curve.Fit(m.knots, shown); err != nil {
		return nil, err
	}
	m.before = []float64{0}
	for i := range len(m.knots) - 1 {
		m.before = append(m.before, m.before[i]+m.mass(m.knots[i], m.knots[i+1], one))
	}
	return m, nil
}

func one(float64) float64 { return 1 }

// mass integrates f times the density, not normalised, between two scores of one
// interval.
func (m *Marginal) mass(from, to float64, f func(score float64) float64) float64 {
	integrand := func(z float64) float64 { return f(z) * math.Exp(m.curve.Predict(z)) }
	return quad.Fixed(integrand, from, to, gaussPoints, quad.Legendre{}, 0)
}

func (m *Marginal) total() float64 { return m.before[len(m.before)-1] }

// expect is the mean of f over the scores.
func (m *Marginal) expect(f func(score float64) float64) float64 {
	sum := 0.0
	for i := range len(m.knots) - 1 {
		sum += m.mass(m.knots[i], m.knots[i+1], f)
	}
	return sum / m.total()
}

// meanStdDev returns both of a function of the parameter's value.
func (m *Marginal) meanStdDev(f func(x float64) float64) (mean, deviation float64) {
	value := func(z float64) float64 { return f(dist.FromNormalScore(m.Prior, z)) }
	mean = m.expect(value)
	deviation = math.Sqrt(m.expect(func(z float64) float64 { d := value(z) - mean; return d * d }))
	return mean, deviation
}

// MeanStdDev returns the mean and the standard deviation, in the unit of the
// parameter.
func (m *Marginal) MeanStdDev() (mean, deviation float64) {
	return m.meanStdDev(func(x float64) float64 { return x })
}

// LogMeanStdDev returns the mean and the standard deviation of the natural
// logarithm of a positive parameter; NaN when it may be 0 or negative.
func (m *Marginal) LogMeanStdDev() (mean, deviation float64) { return m.meanStdDev(math.Log) }

// ScoreStdDev returns the standard deviation of the normal score: 1 under the
// prior, less the more the readings say.
func (m *Marginal) ScoreStdDev() float64 {
	mean := m.expect(func(z float64) float64 { return z })
	return math.Sqrt(m.expect(func(z float64) float64 { return (z - mean) * (z - mean) }))
}

// score is the normal score below which the probability p lies.
func (m *Marginal) score(p float64) float64 {
	return bisect(m.knots[0], m.knots[len(m.knots)-1], func(z float64) bool { return m.below(z) < p })
}

// below is the probability of scores up to z.
func (m *Marginal) below(z float64) float64 {
	last := len(m.knots) - 1
	switch {
	case !(z > m.knots[0]):
		return 0
	case z >= m.knots[last]:
		return 1
	}
	i := sort.SearchFloat64s(m.knots, z) - 1
	return (m.before[i] + m.mass(m.knots[i], z, one)) / m.total()
}

// Quantile returns the value with CDF p, 0 < p < 1, in the unit of the parameter.
// Other p panic.
func (m *Marginal) Quantile(p float64) float64 {
	if !(p > 0 && p < 1) {
		panic("calibrate: a quantile is asked for outside (0, 1)")
	}
	return dist.FromNormalScore(m.Prior, m.score(p))
}

// bisect returns the place between low and high where before turns false, to
// 1e-17 of their distance.
func bisect(low, high float64, before func(x float64) bool) float64 {
	for range 57 {
		if middle := low + (high-low)/2; before(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return low + (high-low)/2
}

// Density returns the probability density at x, in 1 over the unit of the
// parameter. It is 0 where the grid does not reach.
func (m *Marginal) Density(x float64) float64 {
	z := dist.NormalScore(m.Prior, x)
	if !(z >= m.knots[0] && z <= m.knots[len(m.knots)-1]) {
		return 0
	}
	// The prior density carries scores to values: dz/dx = f(x)/phi(z).
	return math.Exp(m.curve.Predict(z)-dist.NormalLogDensity(z)+m.Prior.LogDensity(x)) / m.total()
}
