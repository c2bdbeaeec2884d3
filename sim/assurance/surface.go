package assurance

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// Open is a probability that lack of knowledge leaves undecided, with how it depends on what is not known.
type Open struct {
	// Score sets scores to the normal scores of the probability at places in the space of the unknown inputs, each a standard normal score.
	// It is called from several goroutines.
	Score func(scores []float64, places [][]float64)
	// Shares of the inputs in its variance, about; they add up to 1.
	Shares []float64
	// Misfit is the standard deviation of what Score leaves out. It is learned as the inputs are, by their shares.
	Misfit float64
	// Mean and Upper are what the record says now: the average over what is not known, and the quantile of probability Confidence.
	Mean, Upper        float64
	Target, Confidence float64
	Seed               uint64
	// Workers is the number of goroutines, 0 for one per processor. Results do not depend on it.
	Workers int
}

// Surface tells what tests of the inputs would say of an Open probability.
type Surface struct {
	Open
	// states are places that the unknown inputs may be at, and last a score for the misfit; shown are what tests may show of each.
	states, shown [][]float64
	// What the states say of the average and the quantile now is off by so much from the record's.
	mean, upper float64
}

// A chance is found from so many results of the test, the probability after each from so many states: it is
// good to a few per cent, which is no worse than the surface.
const (
	tests  = 64
	states = 512
)

// ErrNotOpen: the average is above the target, or the upper quantile is not.
var ErrNotOpen = errors.New("not left open by what is not known")

// NewSurface lays out the tests. The average must not be above the target, and the upper quantile must be: else
// the error is ErrNotOpen. Others say what is out of range.
func NewSurface(o Open) (*Surface, error) {
	switch {
	case !(o.Target > 0 && o.Target < 1):
		return nil, fmt.Errorf("target %g: must be between 0 and 1", o.Target)
	case !(o.Confidence > 0.5 && o.Confidence < 1):
		return nil, fmt.Errorf("confidence %g: must be above 1/2 and below 1", o.Confidence)
	case !(o.Mean > 0 && o.Mean <= o.Target && o.Upper > o.Target && o.Upper < 1):
		return nil, ErrNotOpen
	}
	s := &Surface{Open: o, states: scores(len(o.Shares)+1, states, o.Seed, "state"), shown: scores(len(o.Shares)+1, tests, o.Seed, "test"), mean: 1}
	mean, upper := s.after(nil, 1, s.shown[0], s.scratch())
	s.mean, s.upper = o.Mean/mean, dist.NormalQuantile(o.Upper)-upper
	return s, nil
}

// scores are so many points of independent standard normal scores, laid evenly.
func scores(n, points int, seed uint64, purpose string) [][]float64 {
	names := make([]string, n)
	for j := range names {
		names[j] = fmt.Sprint(purpose, " ", j)
	}
	columns := batch.Columns(n, points)
	sim.Halton{}.Fill(columns, names, seed, 0)
	all := batch.Columns(points, n)
	for j, column := range columns {
		dist.NormalQuantiles(column, column)
		for i, z := range column {
			all[i][j] = z
		}
	}
	return all
}

// scratch holds places, and the scores of the probability there.
type scratch struct {
	places  [][]float64
	heights []float64
}

func (s *Surface) scratch() scratch {
	return scratch{batch.Columns(states, len(s.Shares)), make([]float64, states)}
}

// after is the average, and the normal score of the upper quantile, when a test has shown something of the inputs known
// and leaves a part of their variance.
func (s *Surface) after(known []int, left float64, shown []float64, w scratch) (mean, upper float64) {
	learned, last := 0.0, len(s.Shares)
	for _, j := range known {
		learned += s.Shares[j] * (1 - left)
	}
	told := func(learned float64, j int, state []float64) float64 {
		return math.Sqrt(learned)*shown[j] + math.Sqrt(max(0, 1-learned))*state[j]
	}
	for i, state := range s.states {
		copy(w.places[i], state)
		for _, j := range known {
			w.places[i][j] = told(1-left, j, state)
		}
	}
	s.Score(w.heights, w.places)
	for i, state := range s.states {
		w.heights[i] += s.Misfit * told(learned, last, state)
		mean += dist.NormalCDF(w.heights[i]) / states
	}
	slices.Sort(w.heights)
	return s.mean * mean, s.upper + w.heights[int(math.Ceil(s.Confidence*states))-1]
}

// Chance returns that of a test of the inputs of these numbers that leaves the part left, in [0, 1], of the variance of each.
// Nothing learned decides nothing.
func (s *Surface) Chance(ctx context.Context, known []int, left float64) (Chance, error) {
	verdicts := make([]Chance, tests)
	err := batch.EachWith(ctx, s.Workers, tests, s.scratch, func(w scratch, i int) error {
		mean, upper := s.after(known, left, s.shown[i], w)
		verdicts[i] = Chance{NotMet: step(mean > s.Target), Met: step(mean <= s.Target && upper <= dist.NormalQuantile(s.Target))}
		return nil
	})
	var c Chance
	for _, v := range verdicts {
		c.Met, c.NotMet = c.Met+v.Met/tests, c.NotMet+v.NotMet/tests
	}
	return c, err
}

// Left returns the largest part of the variance that a test of the inputs of these numbers may leave to decide with the chance wanted; ok is
// false where not even full knowledge of them does.
func (s *Surface) Left(ctx context.Context, known []int, wanted float64) (left float64, ok bool, err error) {
	left, ok = mostLeft(func(left float64) float64 {
		c, failed := s.Chance(ctx, known, left)
		err = errors.Join(err, failed)
		return c.Decided()
	}, wanted, 9) // the spread to a hundredth where a tenth of it is left
	return left, ok, err
}
