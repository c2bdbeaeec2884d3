package fit

import (
	"errors"
	"math"
)

// PlotPoint is one reading on a probability plot.
type PlotPoint struct {
	Reading float64 `json:"reading"`
	// Position is the median rank (i-0.3)/(n+0.4) of reading i of n in rising
	// order (Benard; NIST/SEMATECH e-Handbook 8.2.2.1).
	Position float64 `json:"position"`
	// Fitted is the fitted curve's value at that position. Points on the line
	// Reading = Fitted say that the family fits.
	Fitted float64 `json:"fitted"`
}

// ProbabilityPlot returns the points of the exact readings in rising order, at
// most the given number, evenly thinned (all of them for most <= 0). Bounds
// count among the ranks: those below come first, those above last; a bound that
// lies among the exact readings gets an error. A declared gauge error makes the
// readings spread wider than the fitted curve of the true values.
func (f *Fit) ProbabilityPlot(most int) ([]PlotPoint, error) {
	s := f.sample
	if len(s.exact) == 0 {
		return nil, errors.New("probability plot: there is no exact reading")
	}
	low, high := s.exact[0].x, s.exact[len(s.exact)-1].x
	before := 0.0
	for _, b := range s.bounded {
		switch {
		case math.IsInf(b.low, -1) && b.high > low, math.IsInf(b.high, 1) && b.low < high:
			return nil, errors.New("probability plot: a bound lies among the readings, so that their ranks are not known")
		case math.IsInf(b.low, -1):
			before += b.count
		}
	}
	every := 1
	if most > 0 {
		every = (len(s.exact) + most - 1) / most
	}
	d := f.Distribution()
	var points []PlotPoint
	for i, p := range s.exact {
		middle := before + (p.count+1)/2 // mean rank of equal readings
		before += p.count
		if i%every == 0 || i == len(s.exact)-1 && len(points) < most {
			position := (middle - 0.3) / (s.n + 0.4)
			points = append(points, PlotPoint{p.x, position, d.Quantile(position)})
		}
	}
	return points, nil
}
