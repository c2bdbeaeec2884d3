package sim

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// LargestRepair is how far RepairCorrelations may move a rank correlation: more
// would no longer be what the study says.
const LargestRepair = 0.05

// normalCorrelation returns the correlation of the normal scores that gives the
// rank correlation (Spearman), exact for continuous marginals: Liu & Der
// Kiureghian, Prob. Eng. Mech. 1 (1986) 105.
func normalCorrelation(rank float64) float64 { return 2 * math.Sin(math.Pi*rank/6) }

// rankCorrelation is the inverse of normalCorrelation.
func rankCorrelation(normal float64) float64 { return 6 / math.Pi * math.Asin(normal/2) }

// component is a set of variables tied together by correlations, with the
// correlation matrix of their normal scores.
type component struct {
	names  []string // sorted
	normal *mat.SymDense
}

// connect groups correlated variables into connected components, ordered by
// their first name: the result does not depend on the order of corr. Pairs
// without a correlation of their own get 0.
func connect(corr []Correlation) []component {
	neighbours := map[string][]string{}
	for _, c := range corr {
		neighbours[c.A] = append(neighbours[c.A], c.B)
		neighbours[c.B] = append(neighbours[c.B], c.A)
	}
	var components []component
	seen := map[string]bool{}
	for name := range neighbours {
		if names := reach(name, neighbours, seen); len(names) > 0 {
			slices.Sort(names)
			components = append(components, component{names, normalMatrix(names, corr)})
		}
	}
	slices.SortFunc(components, func(a, b component) int { return slices.Compare(a.names, b.names) })
	return components
}

// reach lists the names not yet seen that can be reached from name.
func reach(name string, neighbours map[string][]string, seen map[string]bool) []string {
	if seen[name] {
		return nil
	}
	seen[name] = true
	names := []string{name}
	for _, next := range neighbours[name] {
		names = append(names, reach(next, neighbours, seen)...)
	}
	return names
}

func normalMatrix(names []string, corr []Correlation) *mat.SymDense {
	m := mat.NewSymDense(len(names), nil)
	for i := range names {
		m.SetSym(i, i, 1)
	}
	for _, c := range corr {
		i, inside := slices.BinarySearch(names, c.A)
		j, _ := slices.BinarySearch(names, c.B)
		if inside {
			m.SetSym(i, j, normalCorrelation(c.Rank))
		}
	}
	return m
}

// factor returns the lower Cholesky factor of the component's matrix. The error
// of an impossible set of correlations names the pair that the nearest possible
// set moves furthest, and where to.
func (c component) factor() (*mat.TriDense, error) {
	var cholesky mat.Cholesky
	if cholesky.Factorize(c.normal) {
		var lower mat.TriDense
		cholesky.LTo(&lower)
		return &lower, nil
	}
	repaired, _, worst := c.repair()
	stated := rankCorrelation(c.normal.At(worst.i, worst.j))
	return nil, fmt.Errorf("correlations among %q cannot all hold together; the nearest set that can moves the pair %q, %q furthest: from %.3g to %.3g",
		c.names, c.names[worst.i], c.names[worst.j], stated, repaired[worst.position].Rank)
}

// moved is a pair of a component: rows i < j of its matrix, and its position
// among all pairs.
type moved struct{ i, j, position int }

// repair lists the rank correlations of all pairs of the nearest possible set,
// the largest change and the pair that changed so.
func (c component) repair() (repaired []Correlation, change float64, worst moved) {
	nearest := nearestCorrelation(c.normal, smallestEigenvalue)
	for i, a := range c.names {
		for j := i + 1; j < len(c.names); j++ {
			rank := rankCorrelation(nearest.At(i, j))
			if by := math.Abs(rank - rankCorrelation(c.normal.At(i, j))); by > change {
				change, worst = by, moved{i, j, len(repaired)}
			}
			repaired = append(repaired, Correlation{A: a, B: c.names[j], Rank: rank})
		}
	}
	return repaired, change, worst
}

// RepairCorrelations returns correlations that can hold together, the nearest
// to corr in the sense of Higham (2002) applied to the normal scores, and the
// largest change of a rank correlation. Sets that can hold together as they are
// come back unchanged with 0. An error says that a pair would move by more than
// LargestRepair. corr is as NewPlan takes it and is not changed; names and
// ranks are checked by NewPlan only.
func RepairCorrelations(corr []Correlation) ([]Correlation, float64, error) {
	var result []Correlation
	largest := 0.0
	for _, c := range connect(corr) {
		_, impossible := c.factor()
		if impossible == nil {
			for _, stated := range corr {
				if slices.Contains(c.names, stated.A) {
					result = append(result, stated)
				}
			}
			continue
		}
		repaired, change, _ := c.repair()
		if change > LargestRepair {
			return nil, change, fmt.Errorf("%w: more than the %g that a repair may change", impossible, LargestRepair)
		}
		largest = math.Max(largest, change)
		result = append(result, repaired...)
	}
	return result, largest, nil
}

// smallestEigenvalue is what a repaired correlation matrix keeps, so that it
// can be factorised after rounding; it moves no entry by more than about itself.
const smallestEigenvalue = 1e-9

// nearestCorrelation returns the correlation matrix (unit diagonal, no
// eigenvalue below floor >= 0) nearest to the symmetric a in the Frobenius
// norm: alternating projections with Dykstra's correction, Higham, IMA J.
// Numer. Anal. 22 (2002) 329, algorithm 3.3. a is not changed.
func nearestCorrelation(a *mat.SymDense, floor float64) *mat.SymDense {
	n := a.SymmetricDim()
	y, r, x := mat.NewSymDense(n, nil), mat.NewSymDense(n, nil), mat.NewSymDense(n, nil)
	y.CopySym(a)
	removed := mat.NewSymDense(n, nil) // what the last projection took away
	for range 10000 {
		r.AddSym(y, removed)
		projectEigenvalues(x, r, floor)
		largest := 0.0
		for i := range n {
			for j := i; j < n; j++ {
				removed.SetSym(i, j, r.At(i, j)-x.At(i, j))
				next := x.At(i, j)
				if i == j {
					next = 1 // projection onto unit diagonal
				}
				largest = math.Max(largest, math.Abs(next-y.At(i, j)))
				y.SetSym(i, j, next)
			}
		}
		if largest < 1e-13 {
			break
		}
	}
	return y
}

// projectEigenvalues sets x to the symmetric matrix nearest to r with no
// eigenvalue below floor.
func projectEigenvalues(x, r *mat.SymDense, floor float64) {
	var eigen mat.EigenSym
	if !eigen.Factorize(r, true) {
		panic("sim: eigenvalues of a finite symmetric matrix did not converge")
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	x.Zero()
	for k, value := range eigen.Values(nil) {
		x.SymRankOne(x, math.Max(value, floor), vectors.ColView(k))
	}
}
