package sim

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"clampodds/sim/interval"
)

// KnownProbability is the goal that the probability of one row exceeding a
// requirement of the first scenario is known to a half-width of Relative times
// its value.
type KnownProbability struct {
	Requirement string
	// Relative is above 0 and below 1: 0.05 is ±5 %.
	Relative float64
}

func (g KnownProbability) begin(r *Run) (int64, look, error) {
	if !(g.Relative > 0 && g.Relative < 1) {
		return 0, nil, fmt.Errorf("relative half-width: %v, must be above 0 and below 1", g.Relative)
	}
	if !slices.ContainsFunc(r.Scenarios[0].Requirements, func(q Requirement) bool { return q.Name == g.Requirement }) {
		return 0, nil, fmt.Errorf("no requirement %q to be known", g.Requirement)
	}
	return firstRows(r), g.look, nil
}

func (g KnownProbability) look(r *Result) (have, want, next, needed float64) {
	e := g.of(r)
	have = (e.High - e.Low) / 2 / e.Value // +Inf when never seen
	next = predict(r.Rows, have, g.Relative)
	return have, g.Relative, next, next
}

func (g KnownProbability) of(r *Result) Estimate {
	all := r.Scenarios[0].Requirements
	at := slices.IndexFunc(all, func(q RequirementResult) bool { return q.Requirement.Name == g.Requirement })
	return all[at].Exceeded.PerRow()
}

// least is the number of rows that the half-width takes even if the probability is at its upper end: 1/Relative² events.
func (g KnownProbability) least(r *Result) float64 {
	return 1 / (g.Relative * g.Relative * g.of(r).High)
}

// KnownPercentile is the goal that a percentile of an output of the first
// scenario is known to a half-width.
type KnownPercentile struct {
	Output string
	// Percentile is in (0, 1).
	Percentile float64
	// HalfWidth is in the unit of the output, above its bin.
	HalfWidth float64
}

func (g KnownPercentile) begin(r *Run) (int64, look, error) {
	at := r.Scenarios[0].outputIndex(g.Output)
	switch {
	case at < 0 || r.Scenarios[0].Model.Outputs()[at].Bin == 0:
		return 0, nil, fmt.Errorf("no quantity %q to be known", g.Output)
	case !(g.Percentile > 0 && g.Percentile < 1):
		return 0, nil, fmt.Errorf("percentile: %v, must be above 0 and below 1", g.Percentile)
	case !(g.HalfWidth > r.Scenarios[0].Model.Outputs()[at].Bin):
		return 0, nil, fmt.Errorf("half-width: %v, must be above %v, which values are counted in", g.HalfWidth, r.Scenarios[0].Model.Outputs()[at].Bin)
	}
	return firstRows(r), g.look, nil
}

func (g KnownPercentile) look(r *Result) (have, want, next, needed float64) {
	e := r.quantity(g.Output).Percentile(g.Percentile)
	have = (e.High - e.Low) / 2
	next = predict(r.Rows, have, g.HalfWidth)
	return have, g.HalfWidth, next, next
}

// quantity returns a quantity of the first scenario, which has it.
func (r *Result) quantity(name string) Quantity {
	all := r.Scenarios[0].Quantities
	return all[slices.IndexFunc(all, func(q Quantity) bool { return q.Output.Name == name })]
}

// firstRows is the size of the first stage: 16 blocks, enough for the scatter
// between replicates.
func firstRows(r *Run) int64 { return 16 * int64(r.BlockRows) }

// StableDigits is the adaptive procedure of JCGM 101:2008, 7.9: blocks of M
// trials are added until the mean, the standard deviation and both ends of the
// coverage interval of an output are stable to the tolerance that goes with a
// number of significant digits of the standard deviation. Twice the standard
// deviation of each mean over blocks is the half-width.
//
// It looks after every block at a scatter that few blocks tell badly, and so
// stops by luck: in the test, one run in four ends after two or three blocks where
// seven are needed. Use it where the procedure is prescribed; the other goals
// predict their size.
type StableDigits struct {
	Output string
	// Digits is 1 or 2.
	Digits int
	// Coverage is the probability of the coverage interval, in (0, 1): 0.95.
	Coverage float64
}

func (g StableDigits) begin(r *Run) (int64, look, error) {
	at := r.Scenarios[0].outputIndex(g.Output)
	switch {
	case at < 0 || r.Scenarios[0].Model.Outputs()[at].Bin == 0:
		return 0, nil, fmt.Errorf("no quantity %q to be stable", g.Output)
	case g.Digits < 1 || g.Digits > 2:
		return 0, nil, fmt.Errorf("significant digits: %d, must be 1 or 2", g.Digits)
	case !(g.Coverage > 0 && g.Coverage < 1):
		return 0, nil, fmt.Errorf("coverage: %v, must be above 0 and below 1", g.Coverage)
	}
	block := newLayout(r).blockRows
	trials := (interval.BlockSize(g.Coverage) + block - 1) / block * block // M, whole blocks of the run
	s := &stability{goal: g, values: make([]float64, trials)}
	r.watch = func(number int64, y [][]float64) {
		copy(s.values[int(number)*block%trials:], y[at])
	}
	return int64(trials), s.look, nil
}

// stability follows the blocks of M trials.
type stability struct {
	goal   StableDigits
	values []float64 // of the present block
	// estimates holds those of all blocks: y, u(y), y_low, y_high.
	estimates [4][]float64
}

func (s *stability) look(r *Result) (have, want, next, needed float64) {
	if r.Rows%int64(len(s.values)) == 0 { // not a part of a block, which a cap may leave
		s.add()
	}
	h := float64(len(s.estimates[0]))
	next = float64(r.Rows) + float64(len(s.values))
	if _, u := r.quantity(s.goal.Output).Histogram.MeanStdDev(); u > 0 {
		want = interval.NumericalTolerance(u, s.goal.Digits)
	}
	for _, estimates := range s.estimates {
		// 2 s, s² = Σ(y(r) - y)²/(h(h-1)): JCGM 101, 7.9.4 g and j.
		have = max(have, 2*stat.StdErr(stat.StdDev(estimates, nil), h))
	}
	if h < 2 || math.IsNaN(have) {
		return math.Inf(1), want, next, math.Inf(1)
	}
	return have, want, next, max(next, math.Ceil(float64(r.Rows)*(have/want)*(have/want)))
}

// add takes the estimates of one block over its finite values: 7.9.4 e, with the
// probabilistically symmetric interval of 7.7.2.
func (s *stability) add() {
	finite := slices.DeleteFunc(slices.Clone(s.values), func(y float64) bool { return !(math.Abs(y) <= math.MaxFloat64) })
	slices.Sort(finite)
	mean, deviation := stat.MeanStdDev(finite, nil)
	low, high := math.NaN(), math.NaN()
	if m := float64(len(finite)); m > 0 {
		inside := int(s.goal.Coverage*m + 0.5)   // q
		rank := max(1, (len(finite)-inside+1)/2) // r, from 1
		low, high = finite[rank-1], finite[min(rank+inside, len(finite))-1]
	}
	for i, estimate := range []float64{mean, deviation, low, high} {
		s.estimates[i] = append(s.estimates[i], estimate)
	}
}
