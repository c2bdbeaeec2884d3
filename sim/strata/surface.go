package strata

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"clampodds/dist"
	"clampodds/sim/batch"
)

// surface is the probability over the unknown inputs, Φ(terms·coefficients), fitted
// to the rows that exceed.
type surface struct {
	basis
	workers      int
	coefficients *mat.VecDense
	read         *mat.Dense // the terms where it is read
	// moved are the coefficients without each of the groups of rows, to first order.
	moved [rowGroups]*mat.VecDense
	// hazard is φ/Φ, how fast the logarithm of the probability rises with the normal
	// score, averaged over the rows that exceed.
	hazard     float64
	partPlaces int
	parts      [surfaceParts]surfacePart // scratch
}

// Fitted is a surface over unknown inputs that rows were fitted with, in numbers that can be kept in a file.
type Fitted struct {
	// Index has the weights of the inputs along the direction in which the output rises at the limit, of norm 1.
	Index        []float64
	Form         form
	Coefficients []float64
}

// Score sets scores to the normal scores of the probability at places: normal scores of the inputs, in their order. They are what the
// surface says, without what that leaves out.
func (f Fitted) Score(scores []float64, places [][]float64) {
	b, terms := basis{f.Index, f.Form}, make([]float64, 0, len(f.Coefficients))
	for i, place := range places {
		scores[i] = floats.Dot(b.row(terms, place), f.Coefficients)
	}
}

// Shares are how much of the variance of the score each input makes, alone and together with others: its part of a joint
// effect is that of all who have one in it (the Shapley effect: Owen, SIAM/ASA J. Uncertainty Quantification 2 (2014) 245). They
// add up to 1.
//
// In polynomials of variance 1, that of the nth order of the index is the sum over all products of the same order in the
// scores, with the square of their coefficient n!/Π k! Π w^2k.
func (f Fitted) Shares() []float64 {
	n := len(f.Index)
	b, shares := basis{f.Index, f.Form}, make([]float64, n)
	var alone [][]float64 // by input and order, from 1
	at := 1
	for j := range n {
		powers := slices.Clone(f.Coefficients[at : at+b.powers()])
		at += len(powers)
		alone = append(alone, append(powers, 0, 0)) // room for those of the index
		if f.Form == crossed {
			for i := range j {
				joint := f.Coefficients[at] * f.Coefficients[at]
				shares[i], shares[j] = shares[i]+joint/2, shares[j]+joint/2
				at++
			}
		}
	}
	if at < len(f.Coefficients) {
		f.alongIndex(f.Coefficients[at], f.Coefficients[at+1], alone, shares)
	}
	for j, powers := range alone {
		shares[j] += floats.Dot(powers, powers)
	}
	if all := floats.Sum(shares); all > 0 {
		floats.Scale(1/all, shares)
	}
	return shares
}

// alongIndex adds the square and the cube of the index: to what each input does alone, and to the shares what two and three do together.
func (f Fitted) alongIndex(square, cube float64, alone [][]float64, shares []float64) {
	fourth := 0.0 // Σ w⁴
	for _, w := range f.Index {
		fourth += w * w * w * w
	}
	for j, w := range f.Index {
		alone[j][1] += square * w * w
		alone[j][2] += cube * w * w * w
		own, others := w*w, 1-w*w
		shares[j] += square * square * own * others                              // two: 2 wi² wj², half each
		shares[j] += cube * cube * 1.5 * (own*(fourth-own*own) + own*own*others) // two: 3 (wi⁴ wj² + wi² wj⁴), half each
		shares[j] += cube * cube * own * (others*others - (fourth - own*own))    // three: 6 wi² wj² wk², a third each
	}
}

const (
	mostSteps = 60
	ridge     = 1e-9
	// smallStep ends a fit, each of whose steps is a sixth of the one before or less: what is left moves no digit that is shown.
	smallStep = 1e-7
	roughStep = 1e-2
	// steadyStep is a step after which the information hardly moves, and is kept.
	steadyStep = 5e-3
	mostHeight = 8.0 // the normal score of a probability that is 1 in numbers
	// summedRows is how many places are added to the information together; it divides readings.
	summedRows = 4
	// surfaceParts is how many parts the places are summed in, side by side. The first fit has the places of one.
	surfaceParts = 8
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
//
// A first fit over one part of the places, which may be off or fail, shows the second where
// to begin.
func (b basis) fit(e exceeding, at reading) (surface, error) {
	s := surface{basis: b, workers: at.workers, partPlaces: len(at.weight) / surfaceParts, coefficients: mat.NewVecDense(b.terms(), nil)}
	for i := range s.parts {
		s.parts[i] = newSurfacePart(b.terms())
	}
	all, rows := b.matrix(at.places), b.matrix(e.places)
	probability, _ := e.total()
	s.coefficients.SetVec(0, dist.NormalQuantile(min(probability, 0.999)))
	flat := mat.VecDenseCopyOf(s.coefficients)
	few := slices.Clone(at.weight[:s.partPlaces])
	s.read = all.Slice(0, len(few), 0, b.terms()).(*mat.Dense)
	floats.Scale(1/floats.Sum(few), few)
	_, failed := s.climb(rows, e.weight, few, roughStep)
	s.read = all
	if failed != nil || !(s.value(rows, e.weight, at.weight) > surface{basis: b, coefficients: flat, read: all}.value(rows, e.weight, at.weight)) {
		s.coefficients = flat
	}
	solver, err := s.climb(rows, e.weight, at.weight, smallStep)
	if err != nil {
		return s, err
	}
	s.leaveOut(e, rows, solver)
	return s, nil
}

// climb goes to the largest likelihood from where the coefficients are, until a step is small,
// and returns the information where the steps became steady.
func (s *surface) climb(rows *mat.Dense, weight, density []float64, small float64) (*mat.Cholesky, error) {
	information := mat.NewSymDense(s.terms(), nil)
	var solver mat.Cholesky
	last := math.Inf(-1)
	step := mat.NewVecDense(s.terms(), nil)
	for range mostSteps {
		likelihood, gradient := s.likelihood(rows, weight, density, information)
		if likelihood < last-1e-12*math.Abs(last) { // too far: half way back
			step.ScaleVec(0.5, step)
			s.coefficients.SubVec(s.coefficients, step)
			continue
		}
		last = likelihood
		if information != nil && !solver.Factorize(information) {
			return nil, fmt.Errorf("%w: the rows that exceed do not tell the unknown inputs apart", ErrTooRare)
		}
		if err := solver.SolveVecTo(step, gradient); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrTooRare, err)
		}
		s.coefficients.AddVec(s.coefficients, step)
		size := mat.Norm(step, 2)
		if size < small {
			break
		}
		if size < steadyStep {
			information = nil
		}
	}
	return &solver, nil
}

// value is the likelihood alone.
func (s surface) value(rows *mat.Dense, weight, density []float64) float64 {
	sum := 0.0
	for r, w := range weight {
		p, _ := s.at(rows.RawRowView(r))
		sum += w * math.Log(p)
	}
	for i, w := range density {
		p, _ := s.at(s.read.RawRowView(i))
		sum -= w * p
	}
	return sum
}

// likelihood returns the likelihood and its gradient, and fills the information unless that is nil.
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
	parts := s.parts[:len(density)/s.partPlaces]
	_ = batch.Each(context.Background(), s.workers, len(parts), func(i int) error {
		parts[i].take(s, i*s.partPlaces, density, information != nil)
		return nil
	})
	for i := range parts {
		sum += parts[i].likelihood
		floats.Add(gradient, parts[i].gradient)
	}
	if information != nil {
		information.Zero()
		for i := range parts {
			information.AddSym(information, parts[i].information)
		}
		for k := range n { // terms that say the same share their coefficient
			information.SetSym(k, k, information.At(k, k)*(1+ridge))
		}
	}
	return sum, mat.NewVecDense(n, gradient)
}

// surfacePart is what some of the places where a surface is read add to the likelihood.
type surfacePart struct {
	likelihood  float64
	gradient    []float64
	information *mat.SymDense
	scaled      [summedRows][]float64 // scratch
}

func newSurfacePart(terms int) surfacePart {
	p := surfacePart{gradient: make([]float64, terms), information: mat.NewSymDense(terms, nil)}
	for i := range p.scaled {
		p.scaled[i] = make([]float64, terms)
	}
	return p
}

// take sums the places of one part, from the first, with or without what they add to the information.
func (p *surfacePart) take(s *surface, from int, density []float64, informed bool) {
	p.likelihood = 0
	clear(p.gradient)
	if informed {
		p.information.Zero()
	}
	for first := from; first < from+s.partPlaces; first += summedRows {
		for i := range p.scaled {
			terms, w := s.read.RawRowView(first+i), density[first+i]
			probability, hazard := s.at(terms)
			p.likelihood -= w * probability
			floats.AddScaled(p.gradient, -w*probability*hazard, terms)
			if informed {
				floats.ScaleTo(p.scaled[i], math.Sqrt(w*probability)*hazard, terms)
			}
		}
		if informed {
			addOuter(p.information.RawSymmetric(), p.scaled)
		}
	}
}

// addOuter adds the outer products of the rows to the upper triangle of a symmetric matrix, one
// after another in each element, as blas64.Syrk does, but reads and writes it once for all.
func addOuter(to blas64.Symmetric, rows [summedRows][]float64) {
	for i := range to.N {
		sum := to.Data[i*to.Stride+i : i*to.Stride+to.N]
		a, b, c, d := rows[0][i:][:len(sum)], rows[1][i:][:len(sum)], rows[2][i:][:len(sum)], rows[3][i:][:len(sum)]
		first, second, third, fourth := a[0], b[0], c[0], d[0]
		for j, s := range sum { // no product is fused with its sum
			s += float64(first * a[j])
			s += float64(second * b[j])
			s += float64(third * c[j])
			s += float64(fourth * d[j])
			sum[j] = s
		}
	}
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
