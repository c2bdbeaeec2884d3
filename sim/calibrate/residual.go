package calibrate

import (
	"math"

	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"

	"clampodds/dist"
)

// Surprise says how probable readings as far as these from what was expected
// before them were: G. E. P. Box, "Sampling and Bayes' inference in scientific
// modelling and robustness", J. R. Statist. Soc. A 143 (1980) 383.
type Surprise struct {
	// Distance is the squared Mahalanobis distance of all readings together, chi
	// squared with Freedom degrees of freedom when model and prior are right.
	Distance float64
	Freedom  int
	// Probability of a distance at least as large.
	Probability float64
}

// Trend says whether the first parameter would have to change with a covariate to
// fit the readings: a model that is right needs no such change. y = μ(z + b x) is
// fitted by generalised least squares, z and b free; b over its standard error is
// standard normal when there is no trend. The first parameter is varied because a
// wrong law shows where the readings are sensitive to it.
type Trend struct {
	Name string
	// From and To are the values of the first parameter that would fit at the
	// smallest and at the largest value of the covariate, around its posterior mean.
	From, To       float64
	Z, Probability float64 // two-sided
	// Flagged trends are significant at 5 % over all covariates together
	// (Bonferroni).
	Flagged bool
}

const trendLevel = 0.05

// linear is the problem linearised at the posterior mean: observations less their
// expectation before the readings, and their covariance then, all of it included:
// noise, variables and what was not known of the parameters.
type linear struct {
	problem    *Problem
	residual   *mat.VecDense
	slope      *mat.VecDense // of the first parameter
	covariance *mat.SymDense
	chol       mat.Cholesky
}

// linearise at scores of the parameters, by the surface.
func (d *density) linearise(centre []float64) (*linear, bool) {
	n := len(d.values)
	at := make(moments, sizeOfMoments(n))
	slope := mat.NewDense(n, len(centre), nil)
	fd.Jacobian(slope, func(y, z []float64) {
		d.surface.at(z, at)
		copy(y, at)
	}, centre, &fd.JacobianSettings{Formula: fd.Central, Step: difference})
	d.surface.at(centre, at)
	return d.problem.linear(centre, at, slope)
}

// linear with J the slope of the mean with the scores, R their prior
// correlation and ẑ the centre: residual y - μ(ẑ) + J ẑ, covariance
// C + noise² + J R Jᵀ.
func (p *Problem) linear(centre []float64, at moments, slope *mat.Dense) (*linear, bool) {
	n := len(p.Observations)
	l := &linear{problem: p, residual: mat.NewVecDense(n, nil), slope: mat.NewVecDense(n, mat.Col(nil, 0, slope)), covariance: mat.NewSymDense(n, nil)}
	l.residual.MulVec(slope, mat.NewVecDense(len(centre), centre))
	for i, o := range p.Observations {
		l.residual.SetVec(i, l.residual.AtVec(i)+o.Value-at[i])
	}
	at.withNoise(p.Observations, l.covariance)
	var half, spread mat.Dense // J R Jᵀ
	half.Mul(slope, p.priorCorrelation())
	spread.Mul(&half, slope.T())
	for i := range n {
		for j := i; j < n; j++ {
			l.covariance.SetSym(i, j, l.covariance.At(i, j)+spread.At(i, j))
		}
	}
	return l, l.chol.Factorize(l.covariance)
}

// surprise is the distance of the readings with its test.
func (l *linear) surprise() Surprise {
	n := l.residual.Len()
	distance := l.inner(l.residual, l.residual)
	return Surprise{Distance: distance, Freedom: n, Probability: mathext.GammaIncRegComp(float64(n)/2, distance/2)}
}

// inner is aᵀ V^-1 b.
func (l *linear) inner(a, b *mat.VecDense) float64 {
	var solved mat.VecDense
	if err := l.chol.SolveVecTo(&solved, b); err != nil && !isCondition(err) {
		return math.NaN()
	}
	return mat.Dot(a, &solved)
}

// leastForTrend observations can show a change beside a level.
const leastForTrend = 4

// trends tests every covariate that takes at least two values. centre is the score
// of the first parameter at the posterior mean.
func (l *linear) trends(covariates []Covariate, first dist.Distribution, centre float64) []Trend {
	var list []Trend
	if l.residual.Len() < leastForTrend {
		return nil
	}
	for _, c := range covariates {
		if change, deviation, middle, ok := l.fit(c.Values); ok {
			z := change / deviation
			from := centre - middle*change
			list = append(list, Trend{
				Name: c.Name, From: dist.FromNormalScore(first, from), To: dist.FromNormalScore(first, from+change),
				Z: z, Probability: 2 * dist.NormalSurvival(math.Abs(z)),
			})
		}
	}
	for i := range list {
		list[i].Flagged = list[i].Probability < trendLevel/float64(len(list))
	}
	return list
}

// fit returns the change of the score of the first parameter from the smallest to
// the largest covariate, its standard error, and where in that range the middle of
// the readings is, 0 to 1.
func (l *linear) fit(covariate []float64) (change, deviation, middle float64, ok bool) {
	n := l.residual.Len()
	low, high := floats.Min(covariate), floats.Max(covariate)
	own, varied := l.slope, mat.NewVecDense(n, nil)
	for i, c := range covariate {
		share := (c - low) / (high - low)
		varied.SetVec(i, own.AtVec(i)*share)
		middle += share / float64(n)
	}
	// What of the change the level does not explain carries the test.
	level := l.inner(own, own)
	rest := mat.NewVecDense(n, nil)
	rest.AddScaledVec(varied, -l.inner(own, varied)/level, own)
	information := l.inner(rest, rest)
	const nothing = 1e-12 // of the information on the level: rounding
	if !(high > low) || !(information > nothing*level) {
		return 0, 0, 0, false
	}
	return l.inner(rest, l.residual) / information, 1 / math.Sqrt(information), middle, true
}
