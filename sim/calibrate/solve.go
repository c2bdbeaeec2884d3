package calibrate

import (
	"context"
	"fmt"
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"
)

// solver is a calibration under way.
type solver struct {
	problem   *Problem
	variation *variation

	mutex       sync.Mutex
	done, total int64 // responses
}

// usualSurfaces are computed: over the prior, and one or two around the posterior.
const usualSurfaces = 3

// expect takes note of a surface of so many responses to come.
func (s *solver) expect(responses int64) {
	s.total = max(s.total, usualSurfaces*responses, s.done+responses)
}

// count tells the progress.
func (s *solver) count() {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.done++
	if s.problem.Progress != nil {
		s.problem.Progress(s.done, s.total)
	}
}

// Solve updates the parameters by the observations. The result depends on the
// Problem alone, to the last bit, and not on Workers. Errors are those of an
// invalid problem, of a model that leaves nothing to observe, and the context's.
func (p *Problem) Solve(ctx context.Context) (*Result, error) {
	r, _, err := p.solve(ctx)
	if err != nil {
		return nil, fmt.Errorf("calibration: %w", err)
	}
	return r, nil
}

// solve is Solve; centre is the posterior mean of the scores.
func (p *Problem) solve(ctx context.Context) (r *Result, centre []float64, err error) {
	s, curves, err := p.solver()
	if err != nil {
		return nil, nil, err
	}
	if r, centre, err = s.solve(ctx); err != nil {
		return nil, nil, err
	}
	r.asRead(p, curves)
	return r, centre, nil
}

// solver checks the problem and chooses the scale of its observations.
func (p *Problem) solver() (*solver, []curve, error) {
	if err := p.check(); err != nil {
		return nil, nil, err
	}
	var chol mat.Cholesky
	if !chol.Factorize(p.priorCorrelation()) {
		return nil, nil, fmt.Errorf("the correlations of the parameters cannot hold together")
	}
	v, err := p.vary()
	if err != nil {
		return nil, nil, err
	}
	used, curves := p, make([]curve, len(p.Observations))
	if v.governs() {
		own := p.curves()
		straight := p.straightened(own)
		if w, err := straight.vary(); err == nil && w.nonlinear() < muchStraighter*v.nonlinear() {
			used, curves, v = straight, own, w
		}
	}
	return &solver{problem: used, variation: v}, curves, nil
}

func (s *solver) solve(ctx context.Context) (*Result, []float64, error) {
	p := s.problem
	n := len(p.Parameters)
	whole, _ := newFrame(make([]float64, n), p.priorCorrelation(), 0) // Solve has checked it
	before, err := s.newSurface(ctx, whole, priorRadius)
	if err != nil {
		return nil, nil, err
	}
	prior := newDensity(p, before)
	after, posterior, err := s.settle(ctx, prior)
	if err != nil {
		return nil, nil, err
	}
	mean, covariance := posterior.moments()
	d := newDensity(p, after)
	r := &Result{
		Confidence: p.Confidence, Correlation: scoreCorrelation(covariance), LogEvidence: posterior.total,
		Comparisons: make([]Comparison, len(p.Observations)), Budget: s.variation.budget(mean),
		Draws: s.variation.draws, Unusable: s.variation.unusable, Points: len(posterior.points),
	}
	if r.Marginals, err = p.marginals(d, posterior); err != nil {
		return nil, nil, err
	}
	old, updated := p.predict(newGrid(whole, priorRadius, prior.logPrior), before), p.predict(posterior, after)
	for o := range r.Comparisons {
		r.Comparisons[o].Before, r.Comparisons[o].After = old[o], updated[o]
	}
	d.residuals(r.Comparisons, mean)
	l, ok := d.linearise(mean)
	if !ok {
		return nil, nil, fmt.Errorf("the covariance of the readings cannot be computed")
	}
	r.Surprise, r.Trends = l.surprise(), l.trends(p.Covariates, p.Parameters[0].Prior, mean[0])
	r.warn(posterior.outer())
	return r, mean, nil
}

// mostRounds of moving the box; one or two are usual. A posterior with long ends
// gets a box that is wider by widening, up to mostWidened times: then the step of
// the grid is still short enough.
const (
	mostRounds  = 6
	widening    = 1.25
	mostWidened = 1.6
)

// settle lays a box around the posterior and moves and widens it until it fits.
func (s *solver) settle(ctx context.Context, prior *density) (*surface, *grid, error) {
	centre, covariance := prior.laplace()
	widened := 1.
	for round := 1; ; round++ {
		var wide mat.SymDense
		wide.ScaleSym(widened*widened, covariance)
		f, ok := newFrame(centre, &wide, 0)
		if !ok {
			return nil, nil, fmt.Errorf("the posterior has no width")
		}
		u, err := s.newSurface(ctx, f, radius)
		if err != nil {
			return nil, nil, err
		}
		g := newGrid(f, radius, newDensity(s.problem, u).logPosterior)
		if math.IsInf(g.total, 0) || math.IsNaN(g.total) {
			return nil, nil, fmt.Errorf("the readings have no probability anywhere near the prior")
		}
		centre, covariance = g.moments()
		fits, cut := f.fits(centre, covariance, widened), g.cut() && widened*widening <= mostWidened
		if round == mostRounds || fits && !cut {
			return u, g, nil
		}
		if cut {
			widened *= widening
		}
	}
}

// How far mean and standard deviation of the grid may be from those the box was
// laid for.
const (
	mostShift   = 0.3
	mostStretch = 1.15
)

// fits reports whether a distribution sits in the frame as it should: mean near 0,
// standard deviations near 1/widened.
func (f *frame) fits(mean []float64, covariance *mat.SymDense, widened float64) bool {
	var half, inFrame mat.Dense
	half.Mul(f.inverse, covariance)
	inFrame.Mul(&half, f.inverse.T())
	for i, w := range f.coordinates(mean) {
		deviation := widened * math.Sqrt(inFrame.At(i, i))
		if !(math.Abs(w) <= mostShift) || !(deviation <= mostStretch) || !(deviation >= 1/mostStretch) {
			return false
		}
	}
	return true
}

// marginals integrates over the other parameters, along the axes of a frame whose
// first axis is the parameter's own.
func (p *Problem) marginals(d *density, g *grid) ([]*Marginal, error) {
	var list []*Marginal
	for i, q := range p.Parameters {
		own := g
		if i > 0 {
			// The same ball, turned.
			f, ok := newFrame(d.surface.frame.centre, d.surface.frame.covariance(), i)
			if !ok {
				return nil, fmt.Errorf("%s: the posterior has no width", q.Name)
			}
			own = newGrid(f, radius, d.logPosterior)
		}
		scores, logs := own.slice(i)
		m, err := newMarginal(q, scores, logs)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", q.Name, err)
		}
		list = append(list, m)
	}
	return list, nil
}
