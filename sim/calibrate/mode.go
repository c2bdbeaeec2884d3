package calibrate

import (
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
