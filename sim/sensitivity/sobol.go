package sensitivity

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"clampodds/sim/batch"
	"clampodds/sim/interval"
)

// Fill sets u to the points of one replicate's own randomised set in the open
// unit cube: u[c][r] is coordinate c of point r. Points of one replicate may
// depend on one another (Latin hypercube, scrambled net); replicates must be
// independent. Every column must be uniform.
type Fill func(u [][]float64, replicate int)

// SobolOptions sizes an analysis: Replicates x Rows x (2 + groups) evaluations.
type SobolOptions struct {
	Rows       int     // N, rows of each of the matrices A and B; at least 2
	Replicates int     // R, at least 5; 10 or more serve better
	Level      float64 // confidence of the intervals, in (0, 1)
	// Workers is the number of goroutines, each with replicates of its own; 0 for one per
	// processor. Results do not depend on it.
	Workers int
}

// SobolResult holds the indices of every group in the order given.
type SobolResult struct {
	Indices []Index
	// Mean and Variance of the output itself.
	Mean, Variance interval.MeanInterval
	Evaluations    int64
}

// Sobol estimates first-order and total Sobol' indices of groups of independent
// inputs. fill is asked for 2 dimensions columns at a time: the first half is
// matrix A, the second half matrix B, so that one point set serves both. f sees
// A, B and, per group, A with the group's columns from B. Columns in no group
// vary and are reported nowhere. Both are called concurrently.
//
// Total: VT = mean (f(A) - f(AB))²/2 (Jansen, Comput. Phys. Commun. 117 (1999)
// 35). First: the mean of V = mean f(B)(f(AB) - f(A)), which is exact for an
// inert group (Saltelli et al., Comput. Phys. Commun. 181 (2010) 259, Table 2
// b), and of V = Var - mean (f(B) - f(AB))²/2, which is exact for one that does
// everything (Jansen 1999), in the proportion of 1 - ST to ST. The mean of each
// replicate is removed first: f far from 0 would drown the product.
//
// An error says which option or group is wrong, that the output is constant
// (*ConstantOutputError) or not finite (*NotFiniteError).
func Sobol(f Function, fill Fill, dimensions int, groups []Group, o SobolOptions) (SobolResult, error) {
	if err := checkRepetition(o.Replicates, o.Level); err != nil {
		return SobolResult{}, err
	}
	if o.Rows < 2 {
		return SobolResult{}, fmt.Errorf("rows %d: must be at least 2", o.Rows)
	}
	if err := checkGroups(groups, dimensions); err != nil {
		return SobolResult{}, err
	}
	s := newSobolSums(len(groups), o)
	err := batch.EachWith(context.Background(), o.Workers, o.Replicates, func() *sobolWork { return newSobolWork(dimensions, o.Rows) }, func(w *sobolWork, r int) error {
		fill(w.u, r)
		s.addReplicate(f, w, groups, r)
		return nil
	})
	if err != nil {
		return SobolResult{}, err
	}
	if err := checkExtents(s.extents); err != nil {
		return SobolResult{}, err
	}
	return s.result(groups, o), nil
}

// sobolSums holds the estimates of every replicate: [group][replicate], and
// [replicate] for the output itself.
type sobolSums struct {
	mean, variance          []float64
	saltelli, jansen, total [][]float64
	extents                 []extent
}

func newSobolSums(groups int, o SobolOptions) *sobolSums {
	return &sobolSums{
		mean: make([]float64, o.Replicates), variance: make([]float64, o.Replicates),
		saltelli: batch.Columns(groups, o.Replicates), jansen: batch.Columns(groups, o.Replicates), total: batch.Columns(groups, o.Replicates),
		extents: make([]extent, o.Replicates),
	}
}

// sobolWork holds the points and outputs of one replicate; mixed shares its
// columns with A and B.
type sobolWork struct {
	u, a, b, mixed [][]float64
	both           []float64 // outputs of A, then of B
	yA, yB, yMixed []float64
}

func newSobolWork(dimensions, rows int) *sobolWork {
	u, both := batch.Columns(2*dimensions, rows), make([]float64, 2*rows)
	return &sobolWork{
		u: u, a: u[:dimensions], b: u[dimensions:], mixed: make([][]float64, dimensions),
		both: both, yA: both[:rows], yB: both[rows:], yMixed: make([]float64, rows),
	}
}

func (s *sobolSums) addReplicate(f Function, w *sobolWork, groups []Group, r int) {
	f(w.a, w.yA)
	f(w.b, w.yB)
	seen := newExtent()
	seen.add(w.both)
	s.mean[r], s.variance[r] = stat.MeanVariance(w.both, nil)
	for g, group := range groups {
		copy(w.mixed, w.a)
		for _, c := range group.Columns {
			w.mixed[c] = w.b[c]
		}
		f(w.mixed, w.yMixed)
		seen.add(w.yMixed)
		var product, fromA, fromB float64
		for i, y := range w.yMixed {
			a, b := w.yA[i], w.yB[i]
			product += (b - s.mean[r]) * (y - a)
			fromA += (a - y) * (a - y)
			fromB += (b - y) * (b - y)
		}
		n := float64(len(w.yMixed))
		s.saltelli[g][r] = product / n
		s.total[g][r] = fromA / (2 * n)
		s.jansen[g][r] = s.variance[r] - fromB/(2*n)
	}
	s.extents[r] = seen
}

func (s *sobolSums) result(groups []Group, o SobolOptions) SobolResult {
	result := SobolResult{
		Mean:        interval.Replicates(s.mean, o.Level),
		Variance:    interval.Replicates(s.variance, o.Level),
		Evaluations: int64(o.Rows) * int64(o.Replicates) * int64(2+len(groups)),
	}
	for g, group := range groups {
		weight := math.Min(1, floats.Sum(s.total[g])/floats.Sum(s.variance))
		first := s.saltelli[g]
		for r := range first {
			first[r] += weight * (s.jansen[g][r] - first[r])
		}
		index := Index{
			Name:  group.Name,
			First: ratioInterval(first, s.variance, o.Level),
			Total: ratioInterval(s.total[g], s.variance, o.Level),
		}
		index.Indistinguishable = indistinguishable(index.Total)
		result.Indices = append(result.Indices, index)
	}
	return result
}
