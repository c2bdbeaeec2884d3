package strata

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
)

// surface is the probability over the unknown inputs, Φ(terms·coefficients), fitted
// to the rows that exceed.
type surface struct {
	basis
	coefficients *mat.VecDense
	read         *mat.Dense // the terms where it is read
	// moved are the coefficients without each of the groups of rows, to first order.
	moved [rowGroups]*mat.VecDense
	// hazard is φ/Φ, how fast the logarithm of the probability rises with the normal
	// score, averaged over the rows that exceed.
	hazard float64
}

const (
	mostSteps  = 60
	ridge      = 1e-9
	smallStep  = 1e-10
	mostHeight = 8.0 // the normal score of a probability that is 1 in numbers
)

// fit fits the surface to the rows e that exceed by maximum likelihood: these are seen
// as a point process over the unknown inputs, whose density f is known exactly, of
// intensity Φ(g) f:
//
//	Σ w ln Φ(g(z)) - ∫ Φ(g) f
//
// (the likelihood of an inhomogeneous Poisson process, Cox & Isham, Point Processes,
// 1980, from memory). Its gradient, Σ w λ t - ∫ Φ λ f t with λ = φ/Φ and the terms t, is
// 0 on average at the true surface whatever the weights w of the rows, so that it is
// free of bias; rows that do not exceed are not needed, since f is integrated over the
// places where the surface is read.
func (b basis) fit(e exceeding, at reading) (surface, error) {
	s := surface{basis: b, coefficients: mat.NewVecDense(b.terms(), nil), read: b.matrix(at.places)}
	probability, _ := e.total()
	s.coefficients.SetVec(0, dist.NormalQuantile(min(probability, 0.999)))
	rows := b.matrix(e.places)
	information := mat.NewSymDense(b.terms(), nil)
	var solver mat.Cholesky
	last := math.Inf(-1)
	step := mat.NewVecDense(b.terms(), nil)
	for range mostSteps {
		likelihood, gradient := s.likelihood(rows, e.weight, at.weight, information)
		if likelihood < last-1e-12*math.Abs(last) { // too far: half way back
			step.ScaleVec(0.5, step)
			s.coefficients.SubVec(s.coefficients, step)
			continue
		}
		last = likelihood
		if !solver.Factorize(information) {
			return s, fmt.Errorf("%w: the rows that exceed do not tell the unknown inputs apart", ErrTooRare)
		}
		if err := solver.SolveVecTo(step, gradient); err != nil {
			return s, fmt.Errorf("%w: %w", ErrTooRare, err)
		}
		s.coefficients.AddVec(s.coefficients, step)
		if mat.Norm(step, 2) < smallStep {
			break
		}
	}
	s.leaveOut(e, rows, &solver)
	return s, nil
}

// likelihood returns the likelihood and its gradient, and fills the information.
func (s *surface) likelihood(rows *mat.Dense, weight, density []float64, information *mat.SymDense) (float64, *mat.VecDense) {
	n := s.terms()
	gradient := make([]float64, n)
	sum := 0.0
	for r, w := range weight {
		terms := rows.RawRowView(r)
		p, hazard := s.at(terms)
		sum += w * math.Log(p)
		floats.AddScaled(gradient, w*hazard, terms)
	}
	scaled := mat.NewDense(len(density), n, nil)
	for i, w := range density {
		terms := s.read.RawRowView(i)
		p, hazard := s.at(terms)
		sum -= w * p
		floats.AddScaled(gradient, -w*p*hazard, terms)
		floats.ScaleTo(scaled.RawRowView(i), math.Sqrt(w*p)*hazard, terms)
	}
	information.SymOuterK(1, scaled.T())
	for k := range n { // terms that say the same share their coefficient
		information.SetSym(k, k, information.At(k, k)*(1+ridge))
	}
	return sum, mat.NewVecDense(n, gradient)
}

// at returns the probability at a place with the given terms, and φ/Φ there.
func (s *surface) at(terms []float64) (p, hazard float64) {
	g := min(floats.Dot(terms, s.coefficients.RawVector().Data), mostHeight)
	if g < -30 { // Φ(g) ≈ φ(g)/|g|, to 1e-3
		return math.Exp(-g*g/2) / (-g * math.Sqrt(2*math.Pi)), -g
	}
	p = dist.NormalSurvival(-g)
	return p, math.Exp(-g*g/2) / math.Sqrt(2*math.Pi) / p
}

// leaveOut finds the coefficients without each group of rows by one step: what the
// others add to the gradient, over the information.
func (s *surface) leaveOut(e exceeding, rows *mat.Dense, information *mat.Cholesky) {
	var byGroup [rowGroups][]float64
	for g := range byGroup {
		byGroup[g] = make([]float64, s.terms())
	}
	all, mass := make([]float64, s.terms()), 0.0
	for r, w := range e.weight {
		_, hazard := s.at(rows.RawRowView(r))
		s.hazard, mass = s.hazard+w*hazard, mass+w
		floats.AddScaled(byGroup[e.group[r]], w*hazard, rows.RawRowView(r))
		floats.AddScaled(all, w*hazard, rows.RawRowView(r))
	}
	s.hazard /= mass
	for g, part := range byGroup {
		gradient := mat.NewVecDense(s.terms(), nil)
		for k := range part {
			gradient.SetVec(k, (all[k]-rowGroups*part[k])/(rowGroups-1))
		}
		s.moved[g] = mat.NewVecDense(s.terms(), nil)
		// The information was factorised in the fit: the error, that it is nearly
		// singular, would have ended it.
		_ = information.SolveVecTo(s.moved[g], gradient)
		s.moved[g].AddVec(s.moved[g], s.coefficients)
	}
}
