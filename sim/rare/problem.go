// Package rare estimates the probability of a rare event, down to about 1e-9,
// in a space of independent standard normal variables, and finds the most
// likely ways for it to happen.
//
// The event is the union of the failure domains {u : g_e(u) <= 0} of one or
// more limit-state functions g_e: a series system. The answer comes in steps:
//
//   - The first-order reliability method finds design points: the points of the
//     failure domain that are, each in its own neighbourhood, nearest to the origin
//     and hence most likely. The numbers it gives, Phi(-beta), are approximations
//     without an error bound; here it only tells where to sample.
//   - Exploration finds failures without slopes: wide draws, each walked in on its
//     own while the normal narrows. Every failure that no centre explains gets
//     one: a design point, or where no slope leads, the edge nearest to it.
//   - Pilot draws fit the density, show failures that are still not explained, and
//     say how many draws are needed. They do not count.
//   - A second exploration, with random numbers of its own, is held against the
//     density: what of the probability it came to by itself.
//   - Importance sampling draws around all centres, a number fixed beforehand, and
//     weights each draw by its true likelihood. It is unbiased and carries an
//     interval, but the interval knows nothing of a way to fail that was missed.
//     Where it tells far less than the pilot promised, its draws are a larger pilot
//     for others, as long as the evaluations allow that.
//
// A probability is established only where the search came to its end and the
// second one found the same ways. Otherwise the result is the range of all
// estimates, an envelope. When no failure was seen the probability is not zero: the
// upper bound is what the number of draws can support. Every interval covers the
// sampling noise of the computation only, not doubt about the model or about its
// inputs.
package rare

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// Problem is a series system in the space of Dim independent standard normal
// variables.
type Problem struct {
	// Dim is the number of variables, at least 1.
	Dim int
	// Events is the number of limit-state functions, at least 1.
	Events int
	// Evaluate computes all limit states of every row: u[r] holds the Dim
	// coordinates of row r, g[e][r] receives g_e, in any unit of its own, smooth
	// where it can be. Failure is g_e <= 0. -Inf is a failure and +Inf a success
	// without a gradient (a response that another event makes undefined); NaN is
	// a bug of the caller and panics. Evaluate must depend on u alone, must not
	// change it and must keep no reference. It is never called concurrently.
	Evaluate func(u, g [][]float64)
}

// Stream gives the generator of random numbers that belongs to a purpose and an
// index. The same arguments must always give a generator in the same state, and
// different arguments must give independent ones; results are then the same bit
// for bit from one run to the next.
type Stream func(purpose string, index uint64) *rand.Rand

func (p Problem) validate() error {
	switch {
	case p.Dim < 1:
		return fmt.Errorf("rare: Problem.Dim is %d, must be at least 1", p.Dim)
	case p.Events < 1:
		return fmt.Errorf("rare: Problem.Events is %d, must be at least 1", p.Events)
	case p.Evaluate == nil:
		return fmt.Errorf("rare: Problem.Evaluate is nil")
	}
	return nil
}

// batch holds rows of points and the limit states at them.
type batch struct {
	u [][]float64 // u[row][variable]
	g [][]float64 // g[event][row]
}

func (p Problem) newBatch(rows int) batch {
	return batch{u: matrix(rows, p.Dim), g: matrix(p.Events, rows)}
}

func matrix(rows, columns int) [][]float64 {
	values := make([]float64, rows*columns)
	m := make([][]float64, rows)
	for i := range m {
		m[i] = values[i*columns : (i+1)*columns : (i+1)*columns]
	}
	return m
}

func (b batch) first(rows int) batch {
	g := make([][]float64, len(b.g))
	for e := range g {
		g[e] = b.g[e][:rows]
	}
	return batch{u: b.u[:rows], g: g}
}

// fails reports whether any event happens in the row.
func (b batch) fails(row int) bool {
	return slices.ContainsFunc(b.g, func(g []float64) bool { return g[row] <= 0 })
}

// meter evaluates a problem and counts the rows against a limit.
type meter struct {
	Problem
	used, limit int
}

func (m *meter) affords(rows int) bool { return m.used+rows <= m.limit }

func (m *meter) evaluate(b batch) {
	m.used += len(b.u)
	m.Evaluate(b.u, b.g)
	for e := range b.g {
		for r, g := range b.g[e] {
			if math.IsNaN(g) {
				panic(fmt.Sprintf("rare: limit state %d is NaN at u = %v", e, b.u[r]))
			}
		}
	}
}

// tail is the standard normal Phi(-beta), without cancellation far out.
func tail(beta float64) float64 { return math.Erfc(beta/math.Sqrt2) / 2 }
