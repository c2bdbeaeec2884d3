package calibrate

import (
	"math"

	"clampodds/dist"
	"clampodds/sim"
)

// Prediction is the distribution of a reading, noise included, of a further unit
// under the conditions of an observation.
type Prediction struct {
	Median float64
	// The interval is the central one of the problem's confidence.
	sim.Interval
}

// negligible weights change no digit of a prediction.
const negligible = 1e-12

// predict mixes the normal distributions of the observations over a grid.
func (p *Problem) predict(g *grid, u *surface) []Prediction {
	var weights []float64
	means, deviations := make([][]float64, len(p.Observations)), make([][]float64, len(p.Observations))
	m := make(moments, sizeOfMoments(len(p.Observations)))
	for i, z := range g.points {
		if g.weights[i] < negligible {
			continue
		}
		weights = append(weights, g.weights[i])
		u.at(z, m)
		at := len(p.Observations)
		for o, observation := range p.Observations {
			means[o] = append(means[o], m[o])
			deviations[o] = append(deviations[o], math.Sqrt(math.Max(m[at], 0)+observation.Noise*observation.Noise))
			at += len(p.Observations) - o // the next element of the diagonal
		}
	}
	list := make([]Prediction, len(p.Observations))
	for o := range list {
		list[o] = mixture{weights, means[o], deviations[o]}.prediction(p.Confidence)
	}
	return list
}

// mixture of normal distributions.
type mixture struct{ weights, means, deviations []float64 }

func (m mixture) prediction(confidence float64) Prediction {
	const far = 9 // standard deviations: nothing lies beyond
	low, high := math.Inf(1), math.Inf(-1)
	for i, mean := range m.means {
		low = math.Min(low, mean-far*m.deviations[i])
		high = math.Max(high, mean+far*m.deviations[i])
	}
	quantile := func(p float64) float64 { return m.quantile(p, low, high) }
	tail := (1 - confidence) / 2
	return Prediction{Median: quantile(0.5), Interval: sim.Interval{Low: quantile(tail), High: quantile(1 - tail)}}
}

// quantile searches between low and high by Newton steps, halved where they lead
// out.
func (m mixture) quantile(probability, low, high float64) float64 {
	const close = 1e-12 // of the way from low to high
	tolerance := close * (high - low)
	for x := low + (high-low)/2; ; {
		below, density := m.at(x)
		if below < probability {
			low = x
		} else {
			high = x
		}
		next := x - (below-probability)/density
		if !(next > low && next < high) {
			next = low + (high-low)/2
		}
		if math.Abs(next-x) <= tolerance {
			return next
		}
		x = next
	}
}

// at returns the probability of values up to x and the density there.
func (m mixture) at(x float64) (below, density float64) {
	for i, w := range m.weights {
		z := (x - m.means[i]) / m.deviations[i]
		below += w * dist.NormalCDF(z)
		density += w * math.Exp(dist.NormalLogDensity(z)) / m.deviations[i]
	}
	return below, density
}
