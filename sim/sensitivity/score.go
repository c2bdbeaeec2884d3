package sensitivity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
)

// Score gives the derivative of the log-density of one input with respect to
// its mean (the distribution shifted as a whole) and to its standard deviation
// (stretched about the mean): the factors whose mean over the failures is the
// derivative of the failure probability.
//
//	shift:   -d ln f/dx
//	stretch: -1/s - (x-m)/s d ln f/dx
//
// For a normal input these are (x-m)/s² and ((x-m)²-s²)/s³. Source: Rubinstein
// 1986; Wu, AIAA J. 32 (1994) 1717.
type Score struct {
	density         dist.Distribution
	mean, deviation float64
	slope           func(x float64) float64
	low, high       float64 // the cut, infinite where there is none
	inside          float64 // probability between them
}

// NewCutScore returns the score of a distribution cut at limits that stay where
// they are, low < high, such as an inspection limit, or infinite where there is
// none: mean and standard deviation, finite and positive, are those of the process d
// before the cut. slope is d ln f/dx; nil takes it from LogDensity by a five-point
// difference of step 1e-3 standard deviations, right to about 1e-9 where the density
// is smooth.
//
// An error says that a moment is missing or that the density does not vanish at
// an end of its support within the limits (uniform, half-normal): moving the input
// then moves the end, and what happens there no score sees. Run the changed
// distribution on the same draws instead.
func NewCutScore(d dist.Distribution, low, high float64, slope func(x float64) float64) (*Score, error) {
	m, s := d.Mean(), d.StdDev()
	if !(s > 0) || math.IsInf(s, 1) || math.IsNaN(m-m) {
		return nil, fmt.Errorf("no score: mean %g and standard deviation %g must be finite, the latter positive", m, s)
	}
	first, last := d.Support()
	for _, end := range []float64{first, last} {
		// The density per standard deviation at the end, against 0.4 at the middle
		// of a normal distribution.
		jump := s * math.Exp(d.LogDensity(end))
		if !math.IsInf(end, 0) && low <= end && end <= high && !(jump < 1e-6) {
			return nil, fmt.Errorf("no score: the density jumps at the end %g of its support", end)
		}
	}
	inside := 1 - d.CDF(low) - d.Survival(high)
	if !(low < high) || !(inside > 0) {
		return nil, fmt.Errorf("no score: nothing between the limits %g and %g", low, high)
	}
	if slope == nil {
		slope = func(x float64) float64 { return difference(d.LogDensity, x, 1e-3*s) }
	}
	return &Score{density: d, mean: m, deviation: s, slope: slope, low: low, high: high, inside: inside}, nil
}

// difference is the five-point central difference (Abramowitz & Stegun 25.3.6).
func difference(f func(float64) float64, x, h float64) float64 {
	return (f(x-2*h) - 8*f(x-h) + 8*f(x+h) - f(x+2*h)) / (12 * h)
}

// Shift returns the derivative with respect to the mean at x, per unit of x.
func (s *Score) Shift(x float64) float64 {
	return -s.slope(x) - (s.shiftRate(s.high)-s.shiftRate(s.low))/s.inside
}

// Stretch returns the derivative with respect to the standard deviation at x,
// per unit of x.
func (s *Score) Stretch(x float64) float64 {
	return -1/s.deviation - (x-s.mean)/s.deviation*s.slope(x) -
		(s.stretchRate(s.high)-s.stretchRate(s.low))/s.inside
}

// CorrelatedShift is Shift for an input of a Gaussian copula, whose normal score
// at x is z and on which the others pull by pull (Puller): changing the input at
// fixed copula moves its normal score as well.
func (s *Score) CorrelatedShift(x, z, pull float64) float64 {
	return s.Shift(x) - pull*s.scoreRate(s.shiftRate, x, z)
}

// CorrelatedStretch is Stretch for an input of a Gaussian copula; arguments as
// CorrelatedShift.
func (s *Score) CorrelatedStretch(x, z, pull float64) float64 {
	return s.Stretch(x) - pull*s.scoreRate(s.stretchRate, x, z)
}

// shiftRate and stretchRate return dF(x)/dθ of the process before the cut.
func (s *Score) shiftRate(x float64) float64 {
	if math.IsInf(x, 0) {
		return 0
	}
	return -math.Exp(s.density.LogDensity(x))
}

func (s *Score) stretchRate(x float64) float64 {
	if math.IsInf(x, 0) {
		return 0
	}
	return (x - s.mean) / s.deviation * s.shiftRate(x)
}

// scoreRate returns dz/dθ at fixed x: dF/dθ of the cut distribution over φ(z).
func (s *Score) scoreRate(rate func(x float64) float64, x, z float64) float64 {
	atLow := rate(s.low)
	moved := rate(x) - atLow - dist.NormalCDF(z)*(rate(s.high)-atLow)
	return moved / s.inside * math.Exp(-dist.NormalLogDensity(z))
}

// Puller computes how a Gaussian copula pulls on the normal score of one input:
// with R the correlation matrix of the scores, the pull on score i is
// Σ_j (R^-1 - I)_ij z_j, the derivative of -ln c with respect to z_i.
type Puller struct{ inverse mat.SymDense }

// NewPuller returns an error unless the correlation matrix of the normal scores
// is positive definite.
func NewPuller(correlation mat.Symmetric) (*Puller, error) {
	var factor mat.Cholesky
	if !factor.Factorize(correlation) {
		return nil, fmt.Errorf("the correlation matrix is not positive definite")
	}
	var p Puller
	if err := factor.InverseTo(&p.inverse); err != nil {
		return nil, fmt.Errorf("the correlation matrix is nearly singular: %w", err)
	}
	return &p, nil
}

// Pull returns the pull on score i of one row of normal scores z.
func (p *Puller) Pull(z []float64, i int) float64 {
	sum := -z[i]
	for j, v := range z {
		sum += p.inverse.At(i, j) * v
	}
	return sum
}
