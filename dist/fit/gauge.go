package fit

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"clampodds/dist"
)

// LimitError returns the standard deviation of a gauge error of which only the
// limit is known (an accuracy class, half the step of a display): the error is
// taken as uniform within -+limit, limit/sqrt(3) (JCGM 100:2008, 4.3.7). limit
// in the unit of the readings.
func LimitError(limit float64) float64 { return limit / math.Sqrt(3) }

// blurred is the distribution of a reading: the true value and a normal error.
// The convolution is summed over the error, out to 6 of its standard deviations,
// in steps of a quarter of it or of half the true values' spread where that is
// less: exact to 1e-8 for a smooth density, good to a few per cent where it has a
// corner or a step.
type blurred struct {
	base                      density
	errors, shares, logShares []float64
}

const blurEnd, blurStep, finestBlur = 6.0, 0.25, 1. / 64

// blur returns the distribution of a reading with the given gauge error. True
// values that spread less than a thirtieth of it have none: there is nothing to
// be learnt of them.
func (m model) blur(natural []float64, sd float64) density {
	d := m.density(natural)
	if sd == 0 {
		return d
	}
	if n, ok := d.(dist.Normal); ok {
		return orNothing(dist.NewNormal(n.Mean(), math.Hypot(n.StdDev(), sd)))
	}
	step := math.Min(blurStep, m.spread(natural)/sd/2)
	if !(step > finestBlur) {
		return nothing{}
	}
	b := blurred{base: d}
	for z := -blurEnd; z <= blurEnd; z += step {
		b.errors = append(b.errors, z*sd)
		b.logShares = append(b.logShares, dist.NormalLogDensity(z)+math.Log(step))
		b.shares = append(b.shares, math.Exp(b.logShares[len(b.shares)]))
	}
	return b
}

// LogDensity sums relative to the largest term so far, so that none underflows.
func (b blurred) LogDensity(x float64) float64 {
	largest, sum := math.Inf(-1), 0.0
	for i, e := range b.errors {
		switch term := b.logShares[i] + b.base.LogDensity(x-e); {
		case term > largest:
			largest, sum = term, sum*math.Exp(largest-term)+1
		case term > math.Inf(-1):
			sum += math.Exp(term - largest)
		}
	}
	return largest + math.Log(sum)
}

// CDF averages that of the true values over the error.
func (b blurred) CDF(x float64) float64      { return b.average(b.base.CDF, x) }
func (b blurred) Survival(x float64) float64 { return b.average(b.base.Survival, x) }

func (b blurred) average(f func(float64) float64, x float64) float64 {
	sum := 0.0
	for i, e := range b.errors {
		sum += b.shares[i] * f(x-e)
	}
	return sum
}

// logPrior is the logarithm of the weight of parameters beside the likelihood. A
// gauge error u takes the flat weight from the logarithm of the true values'
// spread s to that of the readings', sqrt(s^2 + u^2), the one that is seen: a
// factor s^2/(s^2 + u^2).
func (m model) logPrior(natural []float64, gauge float64) float64 {
	if gauge == 0 {
		return 0
	}
	ratio := gauge / m.spread(natural)
	return -math.Log1p(ratio * ratio)
}

// gaugeCases is how many values an estimated gauge error is given, each as likely.
const gaugeCases = 7

// largestGauge is the share of the readings' standard deviation that a gauge error is taken to be at most.
const largestGauge = 0.98

// worthAveraging is the variance of the gauge's estimated variance over that of the readings', both of few degrees of freedom, from which on
// intervals widen by half a per cent.
const worthAveraging = 0.01

// estimatedGauge reports whether the gauge's error is an estimate and that matters.
func (s *Sample) estimatedGauge() bool {
	d := s.data
	return d.GaugeSD > 0 && d.GaugeFreedom > 0 && math.Pow(d.GaugeSD/s.sd, 4)/d.GaugeFreedom*(s.n-1) > worthAveraging
}

// open is the posterior of the parameters. Where the gauge's error is an estimate, it is averaged over what that leaves open: the true
// variance is ν s²/χ² with the estimate's degrees of freedom ν, at the middles of equal shares of
// its distribution.
func (s *Sample) open(best *optimum) (*posterior, error) {
	if !s.estimatedGauge() {
		return best.posterior(s.n, s.data.GaugeSD), nil
	}
	all := &posterior{bounded: true}
	for i := range gaugeCases {
		half := s.data.GaugeFreedom / 2
		ratio := mathext.GammaIncRegInv(half, (float64(i)+0.5)/gaugeCases) / half // χ²/ν
		known := *s
		known.data.GaugeSD = math.Min(s.data.GaugeSD/math.Sqrt(ratio), largestGauge*s.sd)
		optimum, err := known.maximumOf(best.model)
		if err != nil {
			return nil, err
		}
		one := optimum.posterior(known.n, known.data.GaugeSD)
		all.bounded = all.bounded && one.bounded
		all.cases = append(all.cases, len(all.lines))
		for _, l := range one.lines {
			l.mass /= gaugeCases
			for j := range l.nodes {
				l.nodes[j].weight /= gaugeCases
			}
			all.lines = append(all.lines, l)
		}
	}
	return all, nil
}
