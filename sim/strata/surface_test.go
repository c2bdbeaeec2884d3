package strata

import (
	"fmt"
	"math"
	"math/bits"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/combin"

	"clampodds/dist"
	"clampodds/sim"
	"clampodds/sim/batch"
)

// A fit without a group has the weights of the other groups, scaled up to those of all: with rows at one place the
// first step there is the hazard times what the weights differ by, over the information.
func TestLeavingAGroupOutScalesTheOthers(t *testing.T) {
	b := basis{index: []float64{1}, form: alongIndex}
	s := surface{basis: b, coefficients: mat.NewVecDense(b.terms(), nil)}
	s.coefficients.SetVec(0, -2)
	var e exceeding
	total := 0.0
	byGroup := [rowGroups]float64{}
	for r := range 3 * rowGroups {
		e.add(0, r, 0, []float64{0})
		w := 1 + 0.1*float64(r%7)
		e.weight = append(e.weight, w)
		total, byGroup[r%rowGroups] = total+w, byGroup[r%rowGroups]+w
	}
	information := mat.NewSymDense(b.terms(), nil)
	for k := range b.terms() {
		information.SetSym(k, k, 5)
	}
	var solver mat.Cholesky
	require.True(t, solver.Factorize(information))
	rows := b.matrix(e.places)
	_, hazard := s.at(rows.RawRowView(0))
	s.leaveOut(e, rows, &solver)
	const groups = rowGroups
	for g, left := range byGroup {
		want := -2 + hazard*((total-left)*groups/(groups-1)-total)/5
		assert.InEpsilon(t, want, s.moved[g].AtVec(0), 1e-12)
	}
	assert.InEpsilon(t, hazard, s.hazard, 1e-12)
}

// Each number of each group comes from the values of that group, whoever works it out.
func TestNumbersWithoutGroupsAreThoseOfTheGroup(t *testing.T) {
	number := func(times float64) func([]float64, *narrowing) float64 {
		return func(values []float64, _ *narrowing) float64 { return times * values[0] }
	}
	found := reading{workers: 3}.withoutGroups(func(g int) []float64 { return []float64{float64(g)} }, number(1), number(2))
	for g := range rowGroups {
		assert.Equal(t, float64(g), found[0][g])
		assert.Equal(t, 2*float64(g), found[1][g])
	}
}

// The polynomials of a surface have variance 1 and no correlation under the standard normal, so that each term stands
// for what it says. Gauss-Hermite quadrature of 8 points is exact to degree 15; 1e-12 is rounding.
func TestHermitePolynomialsAreOrthonormal(t *testing.T) {
	one, same := func(float64) float64 { return 1 }, func(z float64) float64 { return z }
	terms := []func(z float64) float64{one, same, hermite2, hermite3, hermite4, hermite5}
	for i, f := range terms {
		for j, g := range terms {
			product := quad.Fixed(func(x float64) float64 { return f(math.Sqrt2*x) * g(math.Sqrt2*x) }, math.Inf(-1), math.Inf(1), 8, quad.Hermite{}, 0) / math.Sqrt(math.Pi)
			want := 0.0
			if i == j {
				want = 1
			}
			assert.InDelta(t, want, product, 1e-12, "%d and %d", i, j)
		}
	}
}

// Shares are those of the variance by pick and freeze over even places: what an input does alone, and half of the rest that two
// have together, or a third of three. 0.01 is what 2^17 places leave open.
func TestSharesAreThoseOfTheVariance(t *testing.T) {
	for _, f := range []Fitted{
		{Index: []float64{0.6, -0.8}, Form: crossed, Coefficients: []float64{-3, 0.5, 0.2, -0.1, 0.7, 0.1, 0.3, -0.4}},
		{Index: []float64{0.6, -0.48, 0.64}, Form: alongIndex, Coefficients: []float64{-3, 0.5, -0.4, 0.6, 0.3, -0.2}},
		{Index: []float64{0.6, -0.48, 0.64}, Form: eachAlone, Coefficients: []float64{-3, 0.5, -0.2, 0.1, -0.4, 0.3, 0, 0.6, 0.2, 0.1, 0.3, -0.2}},
	} {
		n := len(f.Index)
		of := jointVariances(f, 1<<17)
		var want []float64
		for j := range n {
			share := 0.0
			for set := 1; set < 1<<n; set++ { // the Shapley value of variances explained by sets
				if set>>j&1 == 1 {
					size := bits.OnesCount(uint(set))
					share += (of[set] - of[set&^(1<<j)]) / float64(n) / binomial(n-1, size-1)
				}
			}
			want = append(want, share/of[1<<n-1])
		}
		for j, share := range f.Shares() {
			assert.InDelta(t, want[j], share, 0.01, "%v input %d", f.Form, j)
		}
	}
}

func binomial(n, k int) float64 { return float64(combin.Binomial(n, k)) }

// jointVariances are Var E[score | inputs of the set], by set as bits: covariances of two places that share the set's inputs.
func jointVariances(f Fitted, points int) []float64 {
	n := len(f.Index)
	columns := batch.Columns(2*n, points)
	names := make([]string, 2*n)
	for j := range names {
		names[j] = fmt.Sprint(j)
	}
	sim.Halton{}.Fill(columns, names, 1, 0)
	for _, c := range columns {
		dist.NormalQuantiles(c, c)
	}
	at := func(set int) []float64 {
		places := batch.Columns(points, n)
		for i := range places {
			for j := range n {
				if places[i][j] = columns[j][i]; set>>j&1 == 0 {
					places[i][j] = columns[n+j][i]
				}
			}
		}
		scores := make([]float64, points)
		f.Score(scores, places)
		return scores
	}
	first := at(1<<n - 1)
	var of []float64
	for set := range 1 << n {
		of = append(of, stat.Covariance(first, at(set), nil))
	}
	return of
}
