package drivers

import (
	"math"
	"slices"

	"clampodds/sim"
	"clampodds/sim/interval"
)

// sections are the independent parts of a sample that the interval of a
// percentile's change comes from.
const sections = 16

// Moved is how a percentile moves when an input is changed.
type Moved struct {
	// By is the difference after less before, in the unit of the output, from all
	// rows. Low and High bound it; they are not finite where some section has no
	// percentile.
	By, Low, High float64
	// Indistinguishable says that the interval contains 0.
	Indistinguishable bool
}

// Percentiles says how a percentile moves.
type Percentiles struct {
	Probability float64
	// Before is the percentile as things are.
	Before float64
	// Moved[k][c] belongs to input k and change c of Changes.
	Moved       [][]Moved
	Evaluations int64
}

// Percentiles finds how the p-quantile of the output moves with every change of
// every input, 0 < p < 1, over rows with a finite value. The same sixteen Latin
// hypercubes serve all. Value: difference of the quantiles of all rows; interval:
// Student's t on the scatter of the differences of the sections (sectioning,
// Asmussen & Glynn, Stochastic Simulation, 2007, III.5, from memory).
func (a *Analysis) Percentiles(p float64) (Percentiles, error) {
	plan, names := a.scenario.Plan, a.names()
	per := a.Rows / sections
	u := columns(len(names), per*sections)
	for s := range sections {
		part := make([][]float64, len(u))
		for i := range u {
			part[i] = u[i][s*per : (s+1)*per]
		}
		a.cube(part, names, s)
	}
	before := make([]float64, per*sections)
	a.evaluate(plan, (*sim.Plan).Transform, u, before)
	r := Percentiles{Probability: p, Before: quantile(before, p), Evaluations: int64(len(before))}
	after := make([]float64, len(before))
	for _, in := range a.inputs {
		var row []Moved
		for _, c := range Changes() {
			changed, err := a.plan(in, c)
			if err != nil {
				return Percentiles{}, err
			}
			a.evaluate(changed, (*sim.Plan).Transform, u, after)
			r.Evaluations += int64(len(after))
			row = append(row, a.compare(before, after, p))
		}
		r.Moved = append(r.Moved, row)
	}
	return r, nil
}

// compare finds how the quantile moves, section by section and as a whole.
func (a *Analysis) compare(before, after []float64, p float64) Moved {
	per := len(before) / sections
	differences := make([]float64, sections)
	for s := range differences {
		part := func(y []float64) []float64 { return y[s*per : (s+1)*per] }
		differences[s] = quantile(part(after), p) - quantile(part(before), p)
	}
	scatter := interval.Replicates(differences, a.Level)
	half := (scatter.High - scatter.Low) / 2
	m := Moved{By: quantile(after, p) - quantile(before, p)}
	m.Low, m.High = m.By-half, m.By+half
	m.Indistinguishable = !(m.Low > 0) && !(m.High < 0)
	return m
}

// quantile interpolates between the order statistics of the finite values at
// rank p(n-1) (definition 7 of Hyndman & Fan, Amer. Statist. 50 (1996) 361); NaN
// without any.
func quantile(y []float64, p float64) float64 {
	sorted := slices.DeleteFunc(slices.Clone(y), func(v float64) bool { return !finite(v) })
	if len(sorted) == 0 {
		return math.NaN()
	}
	slices.Sort(sorted)
	at := p * float64(len(sorted)-1)
	below := int(at)
	above := min(below+1, len(sorted)-1)
	return sorted[below] + (at-float64(below))*(sorted[above]-sorted[below])
}
