package dist

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/interp"
	"gonum.org/v1/gonum/stat"
)

// Smoothed is a continuous distribution through readings. The readings are set
// over the normal scores of their plotting positions (i - 1/2)/n, joined by
// straight lines and averaged with a normal kernel of width n^(-1/5) along the
// score; ties share their mean position.
//
// Beyond the outermost readings the line goes on straight, with one standard
// deviation per unit of score: the tails are declared normal, they are not
// evidence. A quantity that cannot be negative needs a cut.
//
// The averaging alone would alter mean and spread; the curve is therefore moved
// and stretched until its mean and standard deviation are exactly those of the
// readings (n-1 in the denominator). A gap between two groups of readings is
// blurred; a mixture of lots keeps it. Safe for concurrent use.
type Smoothed struct {
	// values stand over the scores first, first+step, ...
	first, step float64
	values      []float64
	mean, sd    float64
}

// NewSmoothed takes two different readings or more, all finite, in any order,
// ties allowed; they are not kept. Other input gets a *ParameterError.
func NewSmoothed(readings []float64) (Smoothed, error) {
	sorted, err := sortedReadings(readings, 2)
	if err != nil {
		return Smoothed{}, err
	}
	n := len(sorted)
	if err := check("measured", requirement{
		"the largest reading", sorted[n-1], sorted[n-1] > sorted[0], "> the smallest",
	}); err != nil {
		return Smoothed{}, err
	}
	mean, sd := stat.MeanStdDev(sorted, nil)
	width := math.Pow(float64(n), -0.2)
	s := smooth(plottedReadings(sorted, sd, 9*width), width)
	offMean, offSD := s.curveMoments()
	for i, x := range s.values {
		s.values[i] = mean + (x-offMean)*sd/offSD
	}
	s.mean, s.sd = mean, sd
	return s, nil
}

// scored is a broken line of values over normal scores.
type scored struct{ scores, values []float64 }

// plottedReadings sets distinct readings over the scores of their plotting
// positions and adds a straight tail of the given slope and length at each end.
func plottedReadings(sorted []float64, slope, tail float64) scored {
	n := len(sorted)
	line := scored{[]float64{0}, []float64{0}}
	for i := 0; i < n; {
		next := i + 1
		for next < n && sorted[next] == sorted[i] {
			next++
		}
		line.scores = append(line.scores, NormalQuantile(float64(i+next)/2/float64(n)))
		line.values = append(line.values, sorted[i])
		i = next
	}
	last := len(line.scores) - 1
	line.scores[0], line.values[0] = line.scores[1]-tail, line.values[1]-slope*tail
	line.scores = append(line.scores, line.scores[last]+tail)
	line.values = append(line.values, line.values[last]+slope*tail)
	return line
}

// smooth averages the line with a normal kernel, at points an eighth of its
// width apart, out to four widths beyond the outermost readings: from there on
// the average is the straight tail itself.
func smooth(line scored, width float64) Smoothed {
	var curve interp.PiecewiseLinear
	if err := curve.Fit(line.scores, line.values); err != nil {
		panic(err) // Fit returns no error
	}
	n := len(line.scores)
	first, last := line.scores[1]-4*width, line.scores[n-2]+4*width
	points := int(math.Ceil((last-first)/(width/8))) + 1
	s := Smoothed{first: first, step: (last - first) / float64(points-1)}
	for i := range points {
		sum, weights := 0.0, 0.0
		for k := -4.0; k <= 4; k += 0.125 {
			weight := math.Exp(-k * k / 2)
			sum += weight * curve.Predict(s.score(i)+k*width)
			weights += weight
		}
		s.values = append(s.values, sum/weights)
	}
	return s
}

func (s Smoothed) score(i int) float64 { return s.first + float64(i)*s.step }

// slope is the rise per unit of score of the piece from point i to i+1.
func (s Smoothed) slope(i int) float64 { return (s.values[i+1] - s.values[i]) / s.step }

// curveMoments adds up the pieces x = a + b z exactly, from the integrals of
// phi, z phi and z^2 phi over each.
func (s Smoothed) curveMoments() (mean, sd float64) {
	const beyond = 40 // the normal density is 0 there
	middle := s.values[len(s.values)/2]
	first, second := 0.0, 0.0
	pieces := len(s.values) - 1
	for i := range pieces {
		low, high := s.score(i), s.score(i+1)
		b := s.slope(i)
		a := s.values[i] - middle - b*low
		if i == 0 {
			low = -beyond
		}
		if i == pieces-1 {
			high = beyond
		}
		densityLow, densityHigh := math.Exp(NormalLogDensity(low)), math.Exp(NormalLogDensity(high))
		m0 := NormalCDF(high) - NormalCDF(low)
		m1 := densityLow - densityHigh
		m2 := m0 + low*densityLow - high*densityHigh
		first += a*m0 + b*m1
		second += a*a*m0 + 2*a*b*m1 + b*b*m2
	}
	return middle + first, math.Sqrt(second - first*first)
}

func (s Smoothed) fromNormalScore(z float64) float64 {
	if math.IsNaN(z) {
		return z
	}
	i := int(min(max((z-s.first)/s.step, 0), float64(len(s.values)-2)))
	return s.values[i] + s.slope(i)*(z-s.score(i))
}

// piece is the piece that holds x; the outer ones go on without end.
func (s Smoothed) piece(x float64) int {
	return min(max(sort.SearchFloat64s(s.values, x)-1, 0), len(s.values)-2)
}

func (s Smoothed) normalScore(x float64) float64 {
	i := s.piece(x)
	return s.score(i) + (x-s.values[i])/s.slope(i)
}

// Quantile returns the curve at the normal quantile of p.
func (s Smoothed) Quantile(p float64) float64 { return s.fromNormalScore(NormalQuantile(p)) }

// UpperQuantile returns the curve at minus the normal quantile of q.
func (s Smoothed) UpperQuantile(q float64) float64 { return s.fromNormalScore(-NormalQuantile(q)) }
func (s Smoothed) CDF(x float64) float64           { return NormalCDF(s.normalScore(x)) }
func (s Smoothed) Survival(x float64) float64      { return NormalSurvival(s.normalScore(x)) }

// LogDensity returns the logarithm of the density, the normal density of the
// score over the slope of the curve: it has small steps where the pieces meet.
func (s Smoothed) LogDensity(x float64) float64 {
	return NormalLogDensity(s.normalScore(x)) - math.Log(s.slope(s.piece(x)))
}

// Mean returns the mean of the readings.
func (s Smoothed) Mean() float64 { return s.mean }

// StdDev returns the standard deviation of the readings, n-1 in the denominator.
func (s Smoothed) StdDev() float64              { return s.sd }
func (s Smoothed) Support() (low, high float64) { return math.Inf(-1), math.Inf(1) }
