package rare

import (
	"math"
	"slices"

	"clampodds/sim/interval"
)

const (
	subsetRuns    = 10
	smallestLevel = 50 // draws: fewer leave too few seeds
)

// Subset is what subset simulation found. Few draws per level bias it:
// at 100 per level the geometric mean of the runs, which is the value reported,
// is 5 % to 35 % too low for 2e-3 to 1e-7, and the arithmetic mean 15 % to 120 %
// too high (measured on the states of the tests); both errors fall roughly as 1/PerLevel
// and lie within the interval.
type Subset struct {
	// Union is the probability of any event, Events that of each, both with
	// intervals from the independent runs.
	Union  Probability
	Events []Probability
	// Runs is the estimate of each run, Levels the number of its levels.
	Runs   []float64
	Levels []int
	// PerLevel is the size of each level's sample.
	PerLevel int
	// Evaluations of the model used.
	Evaluations int
	Warnings    []Warning

	wide     Probability // Union at the level of agreement
	failures [][]float64 // failed rows of all runs, spread as failures are
	stuck    int         // runs
}

// sound reports whether the estimate rests on all runs, or on a plain count.
func (s Subset) sound() bool {
	return s.Union.Value > 0 && (s.stuck == 0 || s.Union.Method == CrudeSampling)
}

// simulateSubsets runs the independent runs, each with an equal part of what the
// meter has left, on samples of n per level.
func simulateSubsets(m *meter, stream Stream, n int, level float64) Subset {
	s := Subset{PerLevel: n}
	events := make([][]float64, m.Events)
	before, limit := m.used, m.limit
	for run := range subsetRuns {
		m.limit = m.used + (limit-m.used)/(subsetRuns-run)
		r := m.newSubsetRun(stream("rare/subset", uint64(run)), n)
		r.descend()
		s.Runs, s.Levels = append(s.Runs, r.probability), append(s.Levels, r.level)
		for e := range events {
			events[e] = append(events[e], r.probability*r.shareOf(e))
		}
		s.failures = append(s.failures, r.failing()...)
		if r.stuck {
			s.stuck++
		}
	}
	m.limit = limit
	s.Evaluations = m.used - before
	s.Union = overRuns(s.Runs, s.Levels, n, level)
	s.wide = overRuns(s.Runs, s.Levels, n, agreementLevel)
	for _, values := range events {
		s.Events = append(s.Events, overRuns(values, s.Levels, n, level))
	}
	if s.stuck > 0 {
		s.Warnings = append(s.Warnings, warn(SubsetStuck, "%d of %d runs found no way down to a failure", s.stuck, subsetRuns))
	}
	return s
}

// overRuns is the estimate from independent runs of n draws per level. One run's
// result is skewed to the right and its mean is too high by a term of order 1/n,
// while the mean of the logarithms is too low by much less: so the value is the
// geometric mean, the lower end comes from Student's t on the logarithms, and the
// upper end is the greater of those on the logarithms and on the plain values.
func overRuns(runs []float64, levels []int, n int, level float64) Probability {
	plain := interval.Replicates(runs, level)
	if slices.Max(levels) <= 1 || plain.Mean == 0 {
		// No more than crude draws came to an answer.
		draws := len(runs) * n
		return counted(int(math.Round(plain.Mean*float64(draws))), draws, level)
	}
	p := Probability{
		Value: plain.Mean, Low: max(0, plain.Low), High: min(1, plain.High), Level: level,
		StandardError: plain.StandardError, Method: SubsetSimulation,
	}
	if slices.Min(runs) > 0 {
		logs := make([]float64, len(runs))
		for i, r := range runs {
			logs[i] = math.Log(r)
		}
		log := interval.Replicates(logs, level)
		p.Value, p.Low, p.High = math.Exp(log.Mean), math.Exp(log.Low), min(1, max(p.High, math.Exp(log.High)))
		p.StandardError = p.Value * log.StandardError
	}
	return p
}
