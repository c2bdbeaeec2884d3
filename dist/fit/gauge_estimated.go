package fit

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

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
		optimum, err := known.maximum(best.model.family)
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
