package sensitivity

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"clampodds/reports/validation"
	"clampodds/sim/batch"
)

func generators(seed uint64) func(int) *rand.Rand {
	return func(replicate int) *rand.Rand { return rand.New(rand.NewPCG(seed, uint64(replicate))) }
}

// linear is the sum of coefficients times scores.
func linear(coefficients ...float64) Function {
	return func(z [][]float64, y []float64) {
		for r := range y {
			y[r] = 0
			for i, c := range coefficients {
				y[r] += c * z[i][r]
			}
		}
	}
}

func pairCorrelation(dimensions, a, b int, rho float64) *mat.SymDense {
	c := mat.NewSymDense(dimensions, nil)
	for i := range dimensions {
		c.SetSym(i, i, 1)
	}
	c.SetSym(a, b, rho)
	return c
}

// linearCase is Y = Σ βσ z with the exact shares; first and total where given.
type linearCase struct {
	name                string
	coefficients        []float64
	correlation         *mat.SymDense
	share, first, total []float64
}

func linearCases() []linearCase {
	return []linearCase{
		{
			"β (1, 1), ρ 0.5",
			[]float64{1, 1},
			pairCorrelation(2, 0, 1, .5),
			[]float64{.5, .5},
			[]float64{.75, .75},
			[]float64{.25, .25},
		},
		{
			"β (1, 1), variances 1 and 4, covariance 0.9",
			[]float64{1, 2},
			pairCorrelation(2, 0, 1, .45),
			[]float64{.32408088, .67591912},
			[]float64{.53088235, .88272059},
			[]float64{.11727941, .46911765},
		},
		{
			"β (1, 1, 1), variances 1 1 4, ρ23 0.5",
			[]float64{1, 1, 2},
			pairCorrelation(3, 1, 2, .5),
			[]float64{.125, .296875, .578125},
			nil, nil,
		},
		{
			"β (1, 1, 1), variances 1 1 4, ρ23 0.9",
			[]float64{1, 1, 2},
			pairCorrelation(3, 1, 2, .9),
			[]float64{.10416667, .41822917, .47760417},
			nil, nil,
		},
		{"β (1, 0), ρ 0.8: a share without effect", []float64{1, 0}, pairCorrelation(2, 0, 1, .8), []float64{.68, .32}, nil, nil},
	}
}

func shapleyCases(t *testing.T) []validation.Case {
	const source = "linear Gaussian model, exact (Owen & Prieur 2017; Iooss & Prieur 2019)"
	var cases []validation.Case
	o := ShapleyOptions{Permutations: 600, Replicates: 32, Level: 0.95, Random: generators(21)}
	for _, c := range linearCases() {
		got, err := Shapley(linear(c.coefficients...), c.correlation, singles(len(c.coefficients)), o)
		require.NoError(t, err)
		for i, e := range got.Effects {
			name := fmt.Sprintf("%s, input %d", c.name, i+1)
			cases = append(cases, randomCase(name+": Shapley effect", source, validation.Computed, c.share[i], e.Share))
			if c.first != nil {
				cases = append(cases,
					randomCase(name+": first, full", source, validation.Computed, c.first[i], e.First),
					randomCase(name+": total, independent", source, validation.Computed, c.total[i], e.Total))
			}
		}
	}
	independent, err := Shapley(ofScores(ishigami), pairCorrelation(3, 0, 1, 0), singles(3), o)
	require.NoError(t, err)
	for i, want := range []float64{.4357470232, .4424111448, .1218418320} {
		cases = append(cases, randomCase(fmt.Sprintf("Ishigami function, Shapley effect %d", i+1), "exact variances, independent inputs", validation.Computed, want, independent.Effects[i].Share))
	}
	return cases
}

// ofScores turns a function of the unit cube into one of normal scores.
func ofScores(f Function) Function {
	return func(z [][]float64, y []float64) {
		u := batch.Columns(len(z), len(y))
		for i := range z {
			for r, v := range z[i] {
				u[i][r] = math.Erfc(-v/math.Sqrt2) / 2
			}
		}
		f(u, y)
	}
}

// Coverage by repetition of analyses of modest size; false alarm 1.4e-3 for each of nine.
func TestShapleyCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("many repetitions, single-threaded")
	}
	truth := [][3]float64{{1. / 8, 1. / 8, .125}, {1. / 2, .75 / 8, .296875}, {6.25 / 8, 3. / 8, .578125}}
	var hits [3][3]int
	for seed := range uint64(repetitions) {
		got, err := Shapley(linear(1, 1, 2), pairCorrelation(3, 1, 2, .5), singles(3),
			ShapleyOptions{Permutations: 60, Replicates: 10, Level: 0.95, Random: generators(seed)})
		require.NoError(t, err)
		for i, e := range got.Effects {
			hits[i][0] += covers(e.First, truth[i][0])
			hits[i][1] += covers(e.Total, truth[i][1])
			hits[i][2] += covers(e.Share, truth[i][2])
		}
	}
	for i := range hits {
		for j, what := range []string{"first", "total", "share"} {
			assertCovers(t, hits[i][j], "%s %d", what, i+1)
		}
	}
}

func TestShapleySharesSumToOne(t *testing.T) {
	got, err := Shapley(ofScores(ishigami), pairCorrelation(3, 0, 2, -.7), singles(3),
		ShapleyOptions{Permutations: 10, Replicates: 5, Level: 0.95, Random: generators(1)})
	require.NoError(t, err)
	var shares []float64
	for _, e := range got.Effects {
		shares = append(shares, e.Share.Mean)
	}
	assert.InDelta(t, 1, floats.Sum(shares), 1e-12)
	assert.Equal(t, int64(12*4*5), got.Evaluations, "10 permutations round up to 12")
}

// Two correlated inputs in one group act as one input; the inert third is
// flagged. 4.5 standard errors, false alarm 1e-4 each.
func TestShapleyGroups(t *testing.T) {
	groups := []Group{{"pair", []int{2, 0}}, {"single", []int{1}}, {"inert", []int{3}}}
	got, err := Shapley(linear(1, 1, 2, 0), pairCorrelation(4, 0, 2, .5), groups,
		ShapleyOptions{Permutations: 300, Replicates: 32, Level: 0.95, Random: generators(2)})
	require.NoError(t, err)
	// Var(z1 + 2 z3) = 1 + 4 + 2 = 7, Var(z2) = 1.
	for i, want := range []float64{7. / 8, 1. / 8} {
		assert.InDelta(t, want, got.Effects[i].Share.Mean, 4.5*got.Effects[i].Share.StandardError)
		assert.False(t, got.Effects[i].Indistinguishable)
	}
	assert.InDelta(t, 8, got.Variance.Mean, 4.5*got.Variance.StandardError)
	assert.Equal(t, 0.0, got.Effects[2].Share.Mean)
	assert.True(t, got.Effects[2].Indistinguishable)
}

// What f is given: every row has the right joint distribution, and only the
// freed groups change from one row of a permutation to the next.
func TestShapleyRows(t *testing.T) {
	correlation := pairCorrelation(3, 0, 2, .6)
	z := batch.Columns(3, 30_000*4)
	orders := drawRows(z, correlation, singles(3), rand.New(rand.NewPCG(3, 0)))
	var product, square float64
	for p, order := range orders {
		for j := range order {
			for k, g := range order {
				same := z[g][4*p+j] == z[g][4*p+j+1]
				assert.True(t, same || k <= j)
			}
		}
		product += z[0][4*p+2] * z[2][4*p+2]
		square += z[1][4*p+3] * z[1][4*p+3]
	}
	n := float64(len(orders))
	// 4 standard errors: Var(z0 z2) = 1 + ρ², Var(z1²) = 2; false alarm 6e-5.
	assert.InDelta(t, .6, product/n, 4*math.Sqrt(1.36/n))
	assert.InDelta(t, 1, square/n, 4*math.Sqrt(2/n))
}

func TestShapleyRefuses(t *testing.T) {
	good := ShapleyOptions{Permutations: 10, Replicates: 5, Level: 0.95, Random: generators(1)}
	few := good
	few.Replicates = 4
	none := good
	none.Permutations = 0
	scaled := pairCorrelation(2, 0, 1, .5)
	scaled.SetSym(1, 1, 4)
	for name, c := range map[string]struct {
		correlation *mat.SymDense
		groups      []Group
		o           ShapleyOptions
	}{
		"replicates 4":          {pairCorrelation(2, 0, 1, .5), singles(2), few},
		"permutations 0":        {pairCorrelation(2, 0, 1, .5), singles(2), none},
		"not positive definite": {pairCorrelation(2, 0, 1, 1), singles(2), good},
		"must hold all 2":       {pairCorrelation(2, 0, 1, .5), singles(1), good},
		"with itself 4":         {scaled, singles(2), good},
		"column 2":              {pairCorrelation(2, 0, 1, .5), singles(3), good},
	} {
		_, err := Shapley(linear(1, 1), c.correlation, c.groups, c.o)
		assert.ErrorContains(t, err, name)
	}
	var isConstant *ConstantOutputError
	_, err := Shapley(linear(0, 0), pairCorrelation(2, 0, 1, .5), singles(2), good)
	assert.ErrorAs(t, err, &isConstant)
	var notFinite *NotFiniteError
	_, err = Shapley(linear(math.NaN(), 0), pairCorrelation(2, 0, 1, .5), singles(2), good)
	assert.ErrorAs(t, err, &notFinite)
}

func BenchmarkShapley(b *testing.B) {
	b.Run("permutations=300/inputs=3/replicates=10", func(b *testing.B) {
		b.ReportAllocs()
		o := ShapleyOptions{Permutations: 300, Replicates: 10, Level: 0.95, Random: generators(1)}
		for b.Loop() {
			if _, err := Shapley(linear(1, 1, 2), pairCorrelation(3, 1, 2, .5), singles(3), o); err != nil {
				b.Fatal(err)
			}
		}
	})
}
