package fit

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/interp"

	"clampodds/dist"
)

// gridUncertainty averages a family over its posterior.
type gridUncertainty struct {
	model     model
	posterior *posterior
	kept      Range
	centre    float64 // a value inside the distribution, to start from
}

// errUnbounded says that there is nothing to average over.
var errUnbounded = errors.New("the readings do not bound the parameters: there is no prediction")

// cutDensity is the density of what inspection keeps.
type cutDensity struct {
	density
	kept    Range
	logKept float64
}

func cutTo(d density, kept Range) density {
	if !given(kept) {
		return d
	}
	return cutDensity{d, kept, logBetween(d, kept.Low, kept.High)}
}

func (c cutDensity) LogDensity(x float64) float64 {
	if x < c.kept.Low || x > c.kept.High {
		return math.Inf(-1)
	}
	return c.density.LogDensity(x) - c.logKept
}

func (c cutDensity) CDF(x float64) float64      { return c.share(c.kept.Low, x) }
func (c cutDensity) Survival(x float64) float64 { return c.share(x, c.kept.High) }

func (c cutDensity) share(low, high float64) float64 {
	low, high = math.Max(low, c.kept.Low), math.Min(high, c.kept.High)
	if !(low < high) {
		return 0
	}
	return math.Min(math.Exp(logBetween(c.density, low, high)-c.logKept), 1)
}

func (g *gridUncertainty) at(working []float64) density {
	return cutTo(g.model.density(g.model.natural(working)), g.kept)
}

func (g *gridUncertainty) support() Range {
	if !given(g.kept) {
		return g.model.support
	}
	return Range{Low: math.Max(g.model.support.Low, g.kept.Low), High: math.Min(g.model.support.High, g.kept.High)}
}

func (g *gridUncertainty) upper(limit float64, above bool, level float64) float64 {
	if !g.posterior.bounded {
		return 1
	}
	// In normal scores the tail probability is nearly linear in the parameters.
	const farthest = 37
	score := g.posterior.quantiles(func(working []float64) float64 {
		d := g.at(working)
		z := -scoreOf(tail(d, limit, above), tail(d, limit, !above))
		return math.Max(math.Min(z, farthest), -farthest)
	}, level)[0]
	return dist.NormalCDF(score)
}

// scoreOf is the normal score of a value with the given probabilities above and
// below it.
func scoreOf(above, below float64) float64 {
	if above < below {
		return -dist.NormalQuantile(math.Min(above, 0.5))
	}
	return dist.NormalQuantile(math.Min(below, 0.5))
}

// mixture is the family averaged over the nodes of the posterior.
type mixture []part

type part struct {
	density
	weight float64
}

func (g *gridUncertainty) mixture() mixture {
	var m mixture
	for _, l := range g.posterior.lines {
		for _, n := range l.nodes {
			m = append(m, part{g.at(n.working), n.weight})
		}
	}
	return m
}

func (m mixture) CDF(x float64) float64 {
	sum := 0.0
	for _, p := range m {
		sum += p.weight * p.CDF(x)
	}
	return math.Min(sum, 1)
}

func (m mixture) Survival(x float64) float64 {
	sum := 0.0
	for _, p := range m {
		sum += p.weight * p.Survival(x)
	}
	return math.Min(sum, 1)
}

func (m mixture) LogDensity(x float64) float64 {
	sum := 0.0
	for _, p := range m {
		sum += p.weight * math.Exp(p.LogDensity(x))
	}
	return math.Log(sum)
}

// predictive is a mixture over the nodes of the posterior with a table of
// quantiles: CDF, Survival and LogDensity are sums over the mixture, quantiles
// come from a table over the normal score, right to 1e-6 of their distance from
// the end of the support (of the standard deviation, without one) down to a tail
// probability of 1e-16; beyond, the table goes on straight.
type predictive struct {
	mixture
	scale    scale
	curve    interp.PiecewiseCubic
	mean, sd float64
}

const tableEnd, tableStep = 8.25, 0.125

func (g *gridUncertainty) predictive() (dist.Distribution, error) {
	if !g.posterior.bounded {
		return nil, errUnbounded
	}
	p := &predictive{mixture: g.mixture(), scale: scale(g.support())}
	p.tabulate(g.centre)
	return p, nil
}

func (g *gridUncertainty) beyond(limit float64, above bool) float64 {
	if !g.posterior.bounded {
		return math.NaN()
	}
	return tail(g.mixture(), limit, above)
}

// tabulate follows the curve of the value over the normal score from the middle
// to both sides, each point found by Newton steps from the last one.
func (p *predictive) tabulate(centre float64) {
	if low, high := p.Support(); !(centre > low && centre < high) { // cut away
		centre = p.scale.value(0)
	}
	points := int(2*tableEnd/tableStep) + 1
	scores, values, slopes := make([]float64, points), make([]float64, points), make([]float64, points)
	y, slope := p.solve(p.scale.coordinate(centre), 1, 0)
	middle := points / 2
	values[middle], slopes[middle] = y, slope
	for _, direction := range []int{-1, 1} {
		y, slope := y, slope
		for i := middle + direction; i >= 0 && i < points; i += direction {
			z := float64(i-middle) * tableStep
			y, slope = p.solve(y+float64(direction)*tableStep*slope, slope, z)
			scores[i], values[i], slopes[i] = z, y, slope
		}
	}
	p.curve.FitWithDerivatives(scores, values, slopes)
	first, second := 0.0, 0.0
	reference := p.scale.value(y)
	for i, z := range scores {
		weight := math.Exp(dist.NormalLogDensity(z)) * tableStep
		x := p.scale.value(values[i]) - reference
		first += weight * x
		second += weight * x * x
	}
	p.mean, p.sd = reference+first, math.Sqrt(second-first*first)
}

// solve returns the coordinate whose normal score is z, and dy/dz there; next to
// an end of the support that is not 0, where values can no longer be told from
// it, the guesses for both.
func (p *predictive) solve(y, guess, z float64) (root, slope float64) {
	for range 60 {
		x := p.scale.value(y)
		var score float64 // from the smaller tail
		if z < 0 {
			score = dist.NormalQuantile(p.CDF(x))
		} else {
			score = -dist.NormalQuantile(p.Survival(x))
		}
		slope = math.Exp(dist.NormalLogDensity(score)-p.LogDensity(x)) / p.scale.stretch(y)
		move := (z - score) * slope
		if math.IsNaN(move) || math.IsInf(move, 0) {
			return y, guess
		}
		y += move
		if math.Abs(z-score) < 1e-9 { // the next step would be rounding
			return y, slope
		}
	}
	return y, slope
}

func (p *predictive) atScore(z float64) float64 {
	end := math.Max(-tableEnd, math.Min(z, tableEnd))
	y := p.curve.Predict(end)
	if z != end {
		y += (z - end) * p.curve.PredictDerivative(end)
	}
	return p.scale.value(y)
}

func (p *predictive) Quantile(probability float64) float64 {
	return p.atScore(dist.NormalQuantile(probability))
}

func (p *predictive) UpperQuantile(q float64) float64 { return p.atScore(-dist.NormalQuantile(q)) }

// Mean returns the mean of what lies between tail probabilities of 1e-16; few
// readings of a skewed family have none beyond.
func (p *predictive) Mean() float64                { return p.mean }
func (p *predictive) StdDev() float64              { return p.sd }
func (p *predictive) Support() (low, high float64) { return p.scale.Low, p.scale.High }

// studentUncertainty is that of complete normal readings: the next value is
// mean + s sqrt(1+1/n) t with n-1 degrees of freedom. The bound of a tail
// probability comes from the grid.
type studentUncertainty struct {
	uncertainty
	n, mean, sd float64
}

func (s studentUncertainty) predictive() (dist.Distribution, error) {
	return student(s.n, s.mean, s.sd)
}

func (s studentUncertainty) beyond(limit float64, above bool) float64 {
	return tail(dist.Must(s.predictive()), limit, above) // the sample has a spread
}

// student is the next normal value after n with the given mean and standard
// deviation (n-1). With very many readings it is the normal distribution, from
// which it can no longer be told.
func student(n, mean, sd float64) (dist.Distribution, error) {
	scale := sd * math.Sqrt(1+1/n)
	if n > 1e5 { // the most degrees of freedom dist.NewStudentT takes
		return dist.NewNormal(mean, scale)
	}
	return dist.NewStudentT(n-1, mean, scale)
}

// scale is a range of values mapped to the whole line: the distance from a
// finite end by its logarithm, a range with two ends by its log-odds.
type scale Range

func (s scale) value(y float64) float64 {
	switch low, high := !math.IsInf(s.Low, 0), !math.IsInf(s.High, 0); {
	case low && high && y > 0:
		return s.High - (s.High-s.Low)/(1+math.Exp(y))
	case low && high:
		return s.Low + (s.High-s.Low)/(1+math.Exp(-y))
	case low:
		return s.Low + math.Exp(y)
	case high:
		return s.High - math.Exp(-y)
	}
	return y
}

func (s scale) coordinate(x float64) float64 {
	switch low, high := !math.IsInf(s.Low, 0), !math.IsInf(s.High, 0); {
	case low && high:
		return math.Log((x - s.Low) / (s.High - x))
	case low:
		return math.Log(x - s.Low)
	case high:
		return -math.Log(s.High - x)
	}
	return x
}

// stretch is dx/dy.
func (s scale) stretch(y float64) float64 {
	switch low, high := !math.IsInf(s.Low, 0), !math.IsInf(s.High, 0); {
	case low && high:
		e := math.Exp(-math.Abs(y))
		return (s.High - s.Low) * e / (1 + e) / (1 + e)
	case low:
		return math.Exp(y)
	case high:
		return math.Exp(-y)
	}
	return 1
}
