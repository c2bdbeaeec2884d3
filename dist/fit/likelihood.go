package fit

import "math"

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
