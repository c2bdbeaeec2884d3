package calibrate

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// density evaluates the posterior on a surface. It is not safe for concurrent
// use.
type density struct {
	problem *Problem
	surface *surface
	prior   mat.Cholesky // of the correlation of the scores
	zero    []float64
	values  []float64 // of the observations

	moments    moments
	covariance *mat.SymDense
	chol       mat.Cholesky
}

func newDensity(p *Problem, u *surface) *density {
	n := len(p.Observations)
	d := &density{
		problem: p, surface: u, zero: make([]float64, len(p.Parameters)),
		moments: make(moments, sizeOfMoments(n)), covariance: mat.NewSymDense(n, nil),
	}
	d.prior.Factorize(p.priorCorrelation())
	for _, o := range p.Observations {
		d.values = append(d.values, o.Value)
	}
	return d
}

// priorCorrelation is Correlation or the unit matrix.
func (p *Problem) priorCorrelation() *mat.SymDense {
	if p.Correlation != nil {
		return p.Correlation
	}
	unit := mat.NewSymDense(len(p.Parameters), nil)
	for i := range p.Parameters {
		unit.SetSym(i, i, 1)
	}
	return unit
}

// logPrior is the logarithm of the prior density of the scores.
func (d *density) logPrior(z []float64) float64 { return normalLogDensity(z, d.zero, &d.prior) }

// logPosterior is that of likelihood times prior. -Inf where the interpolated
// covariance is none, which happens at most at the ends of a box.
func (d *density) logPosterior(z []float64) float64 {
	d.surface.at(z, d.moments)
	d.moments.withNoise(d.problem.Observations, d.covariance)
	if !d.chol.Factorize(d.covariance) {
		return math.Inf(-1)
	}
	return normalLogDensity(d.values, d.moments[:len(d.values)], &d.chol) + d.logPrior(z)
}

// normalLogDensity is the logarithm of the density of a multivariate normal
// distribution at x: -(x - μ)ᵀ V^-1 (x - μ)/2 - ln det(2 pi V)/2.
func normalLogDensity(x, mean []float64, covariance *mat.Cholesky) float64 {
	n := len(x)
	residual, solved := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
	floats.SubTo(residual.RawVector().Data, x, mean)
	if err := covariance.SolveVecTo(solved, residual); err != nil && !isCondition(err) {
		return math.Inf(-1)
	}
	return -(mat.Dot(residual, solved) + covariance.LogDet() + float64(n)*math.Log(2*math.Pi)) / 2
}

// isCondition tells a warning about lost digits from a failure.
func isCondition(err error) bool { return errors.As(err, new(mat.Condition)) }
