package sensitivity

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"clampodds/sim/batch"
	"clampodds/sim/interval"
)

// ShapleyOptions sizes an analysis: Replicates x Permutations x (1 + groups)
// evaluations.
type ShapleyOptions struct {
	// Permutations per replicate, at least 1; rounded up to a multiple of the
	// number of groups, so that every group is first and last equally often.
	Permutations int
	Replicates   int     // R, at least 5; 10 or more serve better
	Level        float64 // confidence of the intervals, in (0, 1)
	// Random returns the generator of one replicate; replicates must be
	// independent.
	Random func(replicate int) *rand.Rand
	// Workers is the number of goroutines, each with replicates of its own; 0 for one per
	// processor. Results do not depend on it.
	Workers int
}

// Effect holds the Shapley effect of one group beside its two indices.
type Effect struct {
	Index
	// Share is the group's part of the variance; the shares sum to 1.
	Share interval.MeanInterval
}

// ShapleyResult holds the effects of every group in the order given.
type ShapleyResult struct {
	Effects     []Effect
	Variance    interval.MeanInterval // of the output
	Evaluations int64
}

// Shapley estimates the Shapley effects of groups of inputs whose normal scores
// are correlated (Gaussian copula): f, called concurrently, sees columns of standard normal scores
// with the given correlation matrix, and turns each into its input by the
// input's own quantile function. Every column belongs to exactly one group.
//
// The effect of a group is the mean, over all orders in which groups can be
// freed one after another, of what freeing it adds to E[Var(Y|groups not yet
// freed)] (Song, Nelson & Staum, SIAM/ASA J. Uncertainty Quantification 4
// (2016) 1060: random permutations). Two rows per conditional variance are
// drawn, and the freed groups keep their new draws along a permutation (Goda,
// Reliab. Eng. Syst. Saf. 213 (2021) 107702): 1 + groups rows serve a whole
// permutation. Permutations come as the rotations of random ones.
//
// First and Total of an Effect come from the same rows, where the group is
// freed last and first: what knowing the group removes on average, correlated
// partners moving with it, and what only the group can still change.
//
// An error says which argument is wrong, that the correlation matrix is not
// positive definite, or that the output is constant (*ConstantOutputError) or
// not finite (*NotFiniteError).
func Shapley(f Function, correlation mat.Symmetric, groups []Group, o ShapleyOptions) (ShapleyResult, error) {
	dimensions := correlation.SymmetricDim()
	if err := checkShapley(correlation, groups, o); err != nil {
		return ShapleyResult{}, err
	}
	d := len(groups)
	permutations := (o.Permutations + d - 1) / d * d
	s := newShapleySums(d, o.Replicates)
	seen := make([]extent, o.Replicates)
	err := batch.EachWith(context.Background(), o.Workers, o.Replicates, func() [][]float64 { return batch.Columns(dimensions+1, permutations*(d+1)) }, func(w [][]float64, r int) error {
		z, y := w[:dimensions], w[dimensions]
		orders := drawRows(z, correlation, groups, o.Random(r))
		f(z, y)
		seen[r] = newExtent()
		seen[r].add(y)
		for p, order := range orders {
			s.add(order, y[p*(d+1):(p+1)*(d+1)], r)
		}
		return nil
	})
	if err != nil {
		return ShapleyResult{}, err
	}
	if err := checkExtents(seen); err != nil {
		return ShapleyResult{}, err
	}
	return s.result(groups, permutations, o), nil
}

func checkShapley(correlation mat.Symmetric, groups []Group, o ShapleyOptions) error {
	if err := checkRepetition(o.Replicates, o.Level); err != nil {
		return err
	}
	if o.Permutations < 1 {
		return fmt.Errorf("permutations %d: must be at least 1", o.Permutations)
	}
	dimensions := correlation.SymmetricDim()
	if err := checkGroups(groups, dimensions); err != nil {
		return err
	}
	columns := 0
	for _, g := range groups {
		columns += len(g.Columns)
	}
	if columns != dimensions {
		return fmt.Errorf("groups hold %d columns: must hold all %d of the correlation matrix", columns, dimensions)
	}
	for i := range dimensions {
		if !(math.Abs(correlation.At(i, i)-1) <= 1e-12) {
			return fmt.Errorf("correlation of column %d with itself %g: must be 1", i, correlation.At(i, i))
		}
	}
	if !new(mat.Cholesky).Factorize(correlation) {
		return fmt.Errorf("the correlation matrix is not positive definite")
	}
	return nil
}

// drawRows fills z with 1 + groups rows per permutation and returns the
// permutations, order[0] the group freed first.
func drawRows(z [][]float64, correlation mat.Symmetric, groups []Group, random *rand.Rand) [][]int {
	d := len(groups)
	known := map[string][][]float64{}
	orders := make([][]int, 0, len(z[0])/(d+1))
	for len(orders) < cap(orders) {
		first := random.Perm(d)
		for shift := range d {
			order := append(append([]int{}, first[shift:]...), first[:shift]...)
			drawPermutation(z, len(orders)*(d+1), correlation, groups, order, random, known)
			orders = append(orders, order)
		}
	}
	return orders
}

// drawPermutation fills rows start to start + groups: a joint draw, then the
// groups redrawn one after another in the order given, each time given those
// not yet redrawn. With the columns sorted so that the group freed first comes
// last, and z = L e, L the Cholesky factor, the columns before a position hang
// on their own e only: replacing the e from there on IS the conditional draw.
// known keeps the factors of few groups, whose orders come again.
func drawPermutation(z [][]float64, start int, correlation mat.Symmetric, groups []Group, order []int, random *rand.Rand, known map[string][][]float64) {
	var columns []int
	begin := make([]int, len(order)) // position of the first column of order[j]
	for j := len(order) - 1; j >= 0; j-- {
		begin[j] = len(columns)
		columns = append(columns, groups[order[j]].Columns...)
	}
	lower := known[fmt.Sprint(order)]
	if lower == nil {
		lower = lowerFactor(correlation, columns)
		if len(groups) <= fewGroups {
			known[fmt.Sprint(order)] = lower
		}
	}
	e, redrawn := make([]float64, len(columns)), make([]float64, len(columns))
	for i := range e {
		e[i], redrawn[i] = random.NormFloat64(), random.NormFloat64()
	}
	set := func(row, from int) {
		for i, c := range columns {
			if i < from {
				z[c][row] = z[c][row-1]
				continue
			}
			sum, first := 0.0, i+1-len(lower[i])
			for j, factor := range lower[i] {
				sum += factor * e[first+j]
			}
			z[c][row] = sum
		}
	}
	set(start, 0)
	for j := range order {
		copy(e[begin[j]:], redrawn[begin[j]:])
		set(start+1+j, begin[j])
	}
}

// fewGroups have no more than 24 orders.
const fewGroups = 4

// lowerFactor is the Cholesky factor of a correlation matrix, known to be positive
// definite, with its columns sorted: of each row what ends on the diagonal, without
// the zeros before it.
func lowerFactor(correlation mat.Symmetric, columns []int) [][]float64 {
	sorted := mat.NewSymDense(len(columns), nil)
	for i, a := range columns {
		for j, b := range columns[:i+1] {
			sorted.SetSym(i, j, correlation.At(a, b))
		}
	}
	var factor mat.Cholesky
	factor.Factorize(sorted)
	var lower mat.TriDense
	factor.LTo(&lower)
	rows := make([][]float64, len(columns))
	for i := range rows {
		row := mat.Row(nil, i, &lower)[:i+1]
		rows[i] = row[slices.IndexFunc(row, func(x float64) bool { return x != 0 }):]
	}
	return rows
}

// shapleySums holds sums over permutations, [group][replicate] and [replicate].
type shapleySums struct {
	share, first, total [][]float64
	variance            []float64
}

func newShapleySums(groups, replicates int) *shapleySums {
	return &shapleySums{
		share: batch.Columns(groups, replicates), first: batch.Columns(groups, replicates), total: batch.Columns(groups, replicates),
		variance: make([]float64, replicates),
	}
}

// add takes the outputs of one permutation. (y0 - yj)²/2 estimates the variance
// left when the first j groups are free and the others known.
func (s *shapleySums) add(order []int, y []float64, r int) {
	d := len(order)
	free := func(j int) float64 { return (y[0] - y[j]) * (y[0] - y[j]) / 2 }
	for j, g := range order {
		s.share[g][r] += free(j+1) - free(j)
	}
	s.variance[r] += free(d)
	s.total[order[0]][r] += free(1)
	s.first[order[d-1]][r] += free(d) - free(d-1)
}

func (s *shapleySums) result(groups []Group, permutations int, o ShapleyOptions) ShapleyResult {
	d := len(groups)
	result := ShapleyResult{Evaluations: int64(permutations) * int64(d+1) * int64(o.Replicates)}
	for g, group := range groups {
		for r := range s.variance { // first and total come from one permutation in d
			s.first[g][r] *= float64(d)
			s.total[g][r] *= float64(d)
		}
		e := Effect{
			Index: Index{
				Name:  group.Name,
				First: ratioInterval(s.first[g], s.variance, o.Level),
				Total: ratioInterval(s.total[g], s.variance, o.Level),
			},
			Share: ratioInterval(s.share[g], s.variance, o.Level),
		}
		e.Indistinguishable = indistinguishable(e.Share)
		result.Effects = append(result.Effects, e)
	}
	for r := range s.variance {
		s.variance[r] /= float64(permutations)
	}
	result.Variance = interval.Replicates(s.variance, o.Level)
	return result
}
