package calibrate

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// Slip is an observation, or all those of one state, that lies too far from what all others lead to expect: mistyped, perhaps.
// It is a question to whoever typed it; nothing is left out for it but in what Slips returns beside them.
//
// Each observation, and each state of two or more, is held against its expectation given all others, as the model has it at what
// the others say of the parameters (deletion residual: R. D. Cook & S. Weisberg, "Residuals and influence in regression", 1982).
// Readings of one unit hang together, and the covariance says how; the noise in it is as stated, or as large as the others show, if that is
// more. Its squared distance T² is chi squared when noise and variation are so. Where all readings are farther off, T²/(T² + D), D that of
// the others, is beta distributed all the same; the more cautious of the two counts, so that noise stated too small, or a
// model that is a little wrong everywhere, makes no slip. The farthest is taken off and the rest looked at again, so that two do not hide
// each other; those up to the last step beyond its level are slips (Rosner, Technometrics 25 (1983) 165).
type Slip struct {
	// Observations, rising; more than one are all those of a state.
	Observations []int
	// Expected of each, by all observations that are no slips, noise included.
	Expected []Prediction
	// Probability that any observation or state of a clean table lies as far out, at most (Bonferroni).
	Probability float64
}

const (
	// SlipLevel is the rate of clean tables that have a slip, at most.
	SlipLevel = 0.01
	// mostSlips are looked for, and no more than one observation of five.
	mostSlips    = 3
	slipsOneIn   = 5
	leastForSlip = 3
	// suspicious is the probability below which a first look, at the prior's median, is followed by a second.
	suspicious = 0.2
)

// suspect is a set of observations as far out as it is.
type suspect struct {
	set         []int   // observations
	probability float64 // over all that were tried at all steps
}

// Slips looks for them, and solves the problem without those found: without is nil where there are none, or where the others have no
// solution. Where a first look, which needs no solution, sees nothing, it takes a third of the time of Solve. Errors are those of Solve.
func (p *Problem) Slips(ctx context.Context) (slips []Slip, without *Result, err error) {
	s, curves, err := p.solver()
	if err != nil {
		return nil, nil, fmt.Errorf("calibration: %w", err)
	}
	var first []suspect
	if l, ok := s.linearAt(make([]float64, len(p.Parameters))); ok && len(p.Observations) >= leastForSlip {
		first = upTo(l.suspects(), suspicious)
	}
	if len(first) == 0 {
		return nil, nil, ctx.Err()
	}
	without, centre, err := p.without(first).solve(ctx)
	if err != nil {
		return nil, nil, ctx.Err() // nothing can be said without them
	}
	l, ok := s.linearAt(centre)
	if !ok {
		return nil, nil, nil
	}
	found := upTo(l.suspects(), SlipLevel)
	if len(found) == 0 {
		return nil, nil, nil
	}
	if !slices.Equal(out(found), out(first)) {
		if without, _, err = p.without(found).solve(ctx); err != nil {
			without, err = nil, ctx.Err()
		}
	}
	slips = l.expect(found, p.Confidence)
	for _, slip := range slips {
		for i, o := range slip.Observations {
			slip.Expected[i].asRead(&curves[o])
		}
	}
	return slips, without, err
}

// upTo are the suspects up to the last one below a level.
func upTo(list []suspect, level float64) []suspect {
	for len(list) > 0 && !(list[len(list)-1].probability < level) {
		list = list[:len(list)-1]
	}
	return list
}

// linearAt is the problem linearised at scores of the parameters, with the responses computed there.
func (s *solver) linearAt(centre []float64) (*linear, bool) {
	at := s.variation.at(centre).moments(s.problem)
	n := len(s.problem.Observations)
	slope := mat.NewDense(n, len(centre), nil)
	const step = difference
	for i := range centre {
		up, down := slices.Clone(centre), slices.Clone(centre)
		up[i], down[i] = up[i]+step, down[i]-step
		above, below := s.variation.at(up).mean, s.variation.at(down).mean
		for o := range n {
			slope.Set(o, i, (above[o]-below[o])/(2*step))
		}
	}
	return s.problem.linear(centre, at, slope)
}

// suspects takes off the farthest, step by step.
func (l *linear) suspects() (list []suspect) {
	left := make([]int, len(l.problem.Observations))
	for o := range left {
		left[o] = o
	}
	steps := min(mostSlips, max(1, len(left)/slipsOneIn))
	for range steps {
		worst, ok := l.farthest(left)
		if !ok || len(left)-len(worst.set) < leastForSlip-1 {
			break
		}
		worst.probability = math.Min(1, worst.probability*float64(steps))
		list = append(list, worst)
		left = less(left, worst.set)
	}
	return list
}

// likelier is how much less likely than its farthest observation a state must be to be named in its place: an observation that is
// far out makes its state so too.
const likelier = 10

// farthest is the observation, or the state of several, of those left that is least likely beside all others, with the noise that
// these have.
func (l *linear) farthest(left []int) (suspect, bool) {
	r, ok := l.among(left, 1)
	if !ok {
		return suspect{}, false
	}
	worst := r.farthest()
	if larger := l.noise(less(left, worst.set)); larger > 1 {
		if r, ok = l.among(left, larger); !ok {
			return suspect{}, false
		}
		worst = r.farthest()
	}
	return worst, true
}

// less is a list less a set.
func less(list, set []int) []int {
	return slices.DeleteFunc(slices.Clone(list), func(o int) bool { return slices.Contains(set, o) })
}

// noisier is the step of the search for a variance of the noise, in factors, and mostNoisy where it ends.
const (
	noisier   = 1.5
	mostNoisy = 1e4
)

// noise is how many times as large as stated the variance of the noise of some observations is, by the largest likelihood: 1 at least.
func (l *linear) noise(of []int) float64 {
	best, at := math.Inf(-1), 1.
	for factor := 1.; factor < mostNoisy; factor *= noisier {
		r, ok := l.among(of, factor)
		if !ok || !(-(r.distance+r.logDet)/2 > best) {
			break
		}
		best, at = -(r.distance+r.logDet)/2, factor
	}
	return at
}

func (r *remaining) farthest() suspect {
	var one, several suspect
	tried := 0
	look := func(into *suspect, set []int) {
		tried++
		if p := r.beyond(set); into.set == nil || p < into.probability {
			*into = suspect{set, p}
		}
	}
	states := map[int][]int{}
	for i, o := range r.left {
		look(&one, []int{i})
		state := r.problem.Observations[o].State
		states[state] = append(states[state], i)
	}
	for _, state := range slices.Sorted(maps.Keys(states)) {
		if set := states[state]; len(set) > 1 && len(set) < len(r.left) {
			look(&several, set)
		}
	}
	worst := one
	if several.set != nil && several.probability < one.probability {
		worst.probability = several.probability
		if !slices.Contains(several.set, one.set[0]) || several.probability < one.probability/likelier {
			worst.set = several.set
		}
	}
	worst.probability *= float64(tried)
	worst.set = slices.Clone(worst.set)
	for i, at := range worst.set {
		worst.set[i] = r.left[at]
	}
	return worst
}

// remaining are some of the observations: the inverse of their covariance, and that times their residuals.
type remaining struct {
	problem  *Problem
	left     []int
	inverse  mat.SymDense
	solved   *mat.VecDense
	distance float64 // of all
	logDet   float64 // of the covariance
	larger   float64 // factor of the variance of the noise
}

func (l *linear) among(left []int, larger float64) (*remaining, bool) {
	n := len(left)
	covariance, residual := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	for i, a := range left {
		residual.SetVec(i, l.residual.AtVec(a))
		for j := i; j < n; j++ {
			covariance.SetSym(i, j, l.covariance.At(a, left[j]))
		}
		noise := l.problem.Observations[a].Noise
		covariance.SetSym(i, i, covariance.At(i, i)+(larger-1)*noise*noise)
	}
	var chol mat.Cholesky
	if !chol.Factorize(covariance) {
		return nil, false
	}
	r := &remaining{problem: l.problem, left: left, solved: mat.NewVecDense(n, nil), logDet: chol.LogDet(), larger: larger}
	if err := chol.InverseTo(&r.inverse); err != nil && !isCondition(err) {
		return nil, false
	}
	r.solved.MulVec(&r.inverse, residual)
	r.distance = mat.Dot(residual, r.solved)
	return r, true
}

// given is what all others lead to expect of a set: its deviation from that, with its covariance, noise included. The noise is that
// of a reading where it is expected, not of what was typed. distance is that of the others.
func (r *remaining) given(set []int) (deviation *mat.VecDense, chol mat.Cholesky, distance float64, ok bool) {
	m := len(set)
	own, solved := mat.NewSymDense(m, nil), mat.NewVecDense(m, nil)
	for i, a := range set {
		solved.SetVec(i, r.solved.AtVec(a))
		for j := i; j < m; j++ {
			own.SetSym(i, j, r.inverse.At(a, set[j]))
		}
	}
	covariance := mat.NewSymDense(m, nil)
	if !chol.Factorize(own) || chol.InverseTo(covariance) != nil {
		return nil, chol, 0, false
	}
	deviation = mat.NewVecDense(m, nil)
	deviation.MulVec(covariance, solved)
	distance = math.Max(0, r.distance-mat.Dot(solved, deviation))
	for i, a := range set {
		o := r.left[a]
		q := &r.problem.Observations[o]
		noise := r.problem.noiseAt(o, q.Value-deviation.AtVec(i))
		covariance.SetSym(i, i, covariance.At(i, i)+r.larger*(noise*noise-q.Noise*q.Noise))
	}
	return deviation, chol, distance, chol.Factorize(covariance)
}

// beyond is the probability of a set as far out beside all others.
func (r *remaining) beyond(set []int) float64 {
	deviation, chol, others, ok := r.given(set)
	var solved mat.VecDense
	if !ok || chol.SolveVecTo(&solved, deviation) != nil {
		return 1
	}
	own := mat.Dot(deviation, &solved)
	m, rest := float64(len(set)), float64(len(r.left)-len(set))
	stated := mathext.GammaIncRegComp(m/2, own/2)
	scaled := mathext.RegIncBeta(rest/2, m/2, others/(own+others))
	return math.Max(stated, scaled)
}

// expect makes slips of the suspects found, with what all other observations lead to expect.
func (l *linear) expect(found []suspect, confidence float64) (slips []Slip) {
	off := out(found)
	half := dist.NormalQuantile((1 + confidence) / 2)
	for _, f := range found {
		slip := Slip{Observations: f.set, Probability: f.probability}
		left := slices.Clone(f.set)
		set := make([]int, len(f.set))
		for i := range set {
			set[i] = i
		}
		for o := range l.problem.Observations {
			if !slices.Contains(off, o) {
				left = append(left, o)
			}
		}
		r, ok := l.among(left, l.noise(left[len(set):]))
		if !ok {
			continue
		}
		deviation, chol, _, ok := r.given(set)
		if !ok {
			continue
		}
		var covariance mat.SymDense
		chol.ToSym(&covariance)
		for i, o := range f.set {
			median, sd := l.problem.Observations[o].Value-deviation.AtVec(i), math.Sqrt(covariance.At(i, i))
			slip.Expected = append(slip.Expected, Prediction{Median: median, Interval: sim.Interval{Low: median - half*sd, High: median + half*sd}})
		}
		slips = append(slips, slip)
	}
	return slips
}

// noiseAt is the noise of an observation were its value another.
func (p *Problem) noiseAt(o int, value float64) float64 {
	if p.NoiseAt == nil {
		return p.Observations[o].Noise
	}
	return p.NoiseAt(o, value)
}

// out lists the observations of suspects, rising.
func out(list []suspect) (off []int) {
	for _, s := range list {
		off = append(off, s.set...)
	}
	slices.Sort(off)
	return off
}

// without is the problem less some of its observations.
func (p *Problem) without(list []suspect) *Problem {
	off := out(list)
	var kept []int
	for o := range p.Observations {
		if !slices.Contains(off, o) {
			kept = append(kept, o)
		}
	}
	q := *p
	q.Observations, q.Covariates = make([]Observation, len(kept)), slices.Clone(p.Covariates)
	for i, o := range kept {
		q.Observations[i] = p.Observations[o]
	}
	for c := range q.Covariates {
		values := make([]float64, len(kept))
		for i, o := range kept {
			values[i] = p.Covariates[c].Values[o]
		}
		q.Covariates[c].Values = values
	}
	if p.NoiseAt != nil {
		q.NoiseAt = func(o int, value float64) float64 { return p.NoiseAt(kept[o], value) }
	}
	q.Model = func(scores [][]float64) Response {
		response := p.Model(scores)
		draws := 1
		if len(scores) > 0 {
			draws = len(scores[0])
		}
		return func(parameters []float64, y [][]float64) {
			all := batch.Columns(len(p.Observations), draws)
			for i, o := range kept {
				all[o] = y[i]
			}
			response(parameters, all)
		}
	}
	return &q
}
