package calibrate

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// laplace returns the mode of the posterior on a surface and the covariance of
// the normal distribution that touches it there. Where the mode lies at the end
// of the box the prior's covariance stands in.
func (d *density) laplace() (mode []float64, covariance *mat.SymDense) {
	best := math.Inf(-1)
	d.surface.frame.lattice(1, d.surface.half, func(w []float64, _ int) {
		z := d.surface.frame.scores(w)
		if at := d.logPosterior(z); at > best || mode == nil {
			best, mode = at, z
		}
	})
	loss := func(z []float64) float64 {
		if !d.surface.inside(z) {
			return math.Inf(1)
		}
		return -d.logPosterior(z)
	}
	mode, covariance = descend(loss, mode)
	var chol mat.Cholesky
	if !chol.Factorize(covariance) || chol.InverseTo(covariance) != nil {
		covariance = d.problem.priorCorrelation()
	}
	return mode, covariance
}

// The search ends when a step is shorter than this, in scores of the prior, or
// when no step however short leads down.
const (
	shortestStep = 1e-5
	mostDamping  = 1e9
	mostSteps    = 200
	difference   = 1e-3 // of the finite differences
)

// descend follows loss down to a minimum by damped Newton steps (Marquardt 1963)
// and returns it with the Hessian there.
func descend(loss func(z []float64) float64, z []float64) ([]float64, *mat.SymDense) {
	n := len(z)
	central := &fd.Settings{Formula: fd.Central, Step: difference}
	hessian := mat.NewSymDense(n, nil)
	damping, at := 1e-3, loss(z)
	fd.Hessian(hessian, loss, z, central)
	for range mostSteps {
		gradient := mat.NewVecDense(n, fd.Gradient(nil, loss, z, central))
		for ; damping < mostDamping; damping *= 10 {
			next, ok := newton(hessian, gradient, z, damping)
			if below := loss(next); ok && below < at {
				step := floats.Distance(z, next, 2)
				z, at, damping = next, below, damping/10
				fd.Hessian(hessian, loss, z, central)
				if step < shortestStep {
					return z, hessian
				}
				break
			}
		}
		if damping >= mostDamping {
			break
		}
	}
	return z, hessian
}

// newton returns z - (H + damping I)^-1 g; not ok where that matrix is not
// positive definite.
func newton(hessian *mat.SymDense, gradient *mat.VecDense, z []float64, damping float64) (next []float64, ok bool) {
	n := len(z)
	damped := mat.NewSymDense(n, nil)
	damped.CopySym(hessian)
	for i := range n {
		damped.SetSym(i, i, damped.At(i, i)+damping)
	}
	var chol mat.Cholesky
	next = append([]float64(nil), z...)
	if !chol.Factorize(damped) {
		return next, false
	}
	var step mat.VecDense
	if err := chol.SolveVecTo(&step, gradient); err != nil && !isCondition(err) {
		return next, false
	}
	floats.Sub(next, step.RawVector().Data)
	return next, true
}

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
