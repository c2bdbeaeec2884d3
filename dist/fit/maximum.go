package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
)

// optimum is the maximum of a likelihood. The search runs in steps of about one
// standard error, working = origin + unit*u, so that differences can be taken
// with one step width whatever the readings measure.
type optimum struct {
	model        model
	logL         func(working []float64) float64
	origin, unit []float64
	n            float64   // readings
	best         []float64 // u at the maximum
	value        float64   // of logL there
	information  *mat.SymDense
}

// fivePoint is the first derivative to fourth order; a step of 0.01 standard
// errors leaves 1e-7 relative in the second derivatives, or 1e-12 of the number
// of readings. twoPoint is good for the way there.
var (
	fivePoint = fd.Formula{
		Stencil:    []fd.Point{{Loc: -2, Coeff: 1. / 12}, {Loc: -1, Coeff: -8. / 12}, {Loc: 1, Coeff: 8. / 12}, {Loc: 2, Coeff: -1. / 12}},
		Derivative: 1, Step: 0.01,
	}
	twoPoint = fd.Formula{
		Stencil:    []fd.Point{{Loc: -1, Coeff: -0.5}, {Loc: 1, Coeff: 0.5}},
		Derivative: 1, Step: 0.01,
	}
)

func (o *optimum) working(u []float64) []float64 {
	w := make([]float64, len(u))
	for i := range u {
		w[i] = o.origin[i] + o.unit[i]*u[i]
	}
	return w
}

func (o *optimum) negative(u []float64) float64 { return -o.logL(o.working(u)) }

// maximum finds the maximum of the sample's likelihood to 1e-7 standard errors.
func (s *Sample) maximum(family Family) (*optimum, error) {
	m, err := s.model(family)
	if err != nil {
		return nil, err
	}
	return s.maximumOf(m)
}

func (s *Sample) maximumOf(m model) (*optimum, error) {
	o, err := s.nearMaximum(m)
	if err != nil {
		return nil, err
	}
	if !o.climb(fivePoint, 1e-7) {
		return nil, o.noMaximum()
	}
	return o, nil
}

// nearMaximum comes as near as 1e-2 standard errors.
func (s *Sample) nearMaximum(m model) (*optimum, error) {
	o := &optimum{model: m, n: s.n, logL: func(working []float64) float64 { return s.logLikelihood(m, m.natural(working)) }}
	o.origin, o.unit = m.start(s.mean, math.Sqrt(s.sd*s.sd-s.data.GaugeSD*s.data.GaugeSD))
	for i := range o.unit {
		o.unit[i] /= math.Sqrt(s.n)
	}
	o.best = make([]float64, len(o.unit))
	if !o.climb(twoPoint, 1e-2) {
		return nil, o.noMaximum()
	}
	return o, nil
}

func (o *optimum) noMaximum() error {
	return fmt.Errorf("%s: the likelihood has no maximum: the readings do not settle the parameters", o.model.family)
}

// climb takes Newton steps until one is below the tolerance, and keeps the
// observed information, minus the second derivatives of the log-likelihood. Far
// from the maximum, where the second derivatives may have the wrong sign or a
// full step overshoots, the steps are damped (Marquardt, J. Soc. Indust. Appl.
// Math. 11 (1963) 431).
func (o *optimum) climb(derivative fd.Formula, tolerance float64) bool {
	k := len(o.unit)
	o.information = mat.NewSymDense(k, nil)
	value, damping := o.negative(o.best), 0.0
	rounding := func() float64 { return 1e-12 * (o.n + math.Abs(value)) }
	for range 100 {
		gradient := mat.NewVecDense(k, fd.Gradient(nil, o.negative, o.best, &fd.Settings{Formula: derivative}))
		fd.Hessian(o.information, o.negative, o.best, &fd.Settings{Formula: derivative})
		for {
			step, ok := o.step(gradient, damping)
			next := make([]float64, k)
			for i := range next {
				next[i] = o.best[i] - step.AtVec(i)
			}
			nextValue := o.negative(next)
			if ok && nextValue <= value+rounding() {
				o.best, value, o.value = next, nextValue, -nextValue
				// Of very many readings the likelihood's own rounding moves the step.
				if damping == 0 && mat.Norm(step, 2) < math.Max(tolerance, rounding()) {
					return true
				}
				if damping /= 10; damping < 1e-3 {
					damping = 0
				}
				break
			}
			if damping = math.Max(10*damping, 1e-2); damping > 1e12 {
				return false
			}
		}
	}
	return false
}

// step solves (information + damping) step = gradient.
func (o *optimum) step(gradient *mat.VecDense, damping float64) (*mat.VecDense, bool) {
	k := len(o.unit)
	damped := mat.NewSymDense(k, nil)
	damped.CopySym(o.information)
	for i := range k {
		damped.SetSym(i, i, damped.At(i, i)+damping)
	}
	step := mat.NewVecDense(k, nil)
	var cholesky mat.Cholesky
	ok := cholesky.Factorize(damped) && cholesky.SolveVecTo(step, gradient) == nil
	return step, ok && !math.IsNaN(mat.Norm(step, 2))
}

// standardErrors of the natural parameters, from the inverse of the observed
// information by the delta method.
func (o *optimum) standardErrors() []float64 {
	k := len(o.unit)
	var covariance mat.SymDense
	var cholesky mat.Cholesky
	cholesky.Factorize(o.information)
	if err := cholesky.InverseTo(&covariance); err != nil {
		panic(err) // climb has solved with it
	}
	jacobian := mat.NewDense(k, k, nil)
	fd.Jacobian(jacobian, func(y, u []float64) { copy(y, o.model.natural(o.working(u))) }, o.best,
		&fd.JacobianSettings{Formula: fivePoint})
	var product mat.Dense
	product.Product(jacobian, &covariance, jacobian.T())
	errors := make([]float64, k)
	for i := range errors {
		errors[i] = math.Sqrt(product.At(i, i))
	}
	return errors
}

// logLikelihood of the parameters: exact readings count with their
// density, those known within a range with its probability, all on the
// condition that they were kept.
func (s *Sample) logLikelihood(m model, natural []float64) float64 {
	d := m.blur(natural, s.data.GaugeSD)
	sum := 0.0
	if s.data.Resolution == 0 {
		for _, p := range s.exact {
			sum += p.count * d.LogDensity(p.x)
		}
	}
	for _, b := range s.bounded {
		sum += b.count * logBetween(d, b.low, b.high)
	}
	if given(s.data.Kept) {
		sum -= s.n * logBetween(d, s.data.Kept.Low, s.data.Kept.High)
	}
	if math.IsNaN(sum) {
		return math.Inf(-1)
	}
	return sum
}

// logBetween is ln P(low < X <= high), taken from the smaller tail; where the
// probability is too small for that, from the density in the middle.
func logBetween(d density, low, high float64) float64 {
	var p float64
	if lower := d.CDF(low); lower < 0.5 {
		p = d.CDF(high) - lower
	} else {
		p = d.Survival(low) - d.Survival(high)
	}
	if !(p > 0) && !math.IsInf(low, 0) && !math.IsInf(high, 0) {
		return d.LogDensity(low+(high-low)/2) + math.Log(high-low)
	}
	return math.Log(p)
}
