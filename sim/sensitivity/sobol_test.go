package sensitivity

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"clampodds/reports/validation"
	"clampodds/sim/interval"
)

// ishigami is sin x1 + 7 sin² x2 + 0.1 x3⁴ sin x1, x uniform in (-π, π).
func ishigami(u [][]float64, y []float64) {
	for r := range y {
		x1, x2, x3 := math.Pi*(2*u[0][r]-1), math.Pi*(2*u[1][r]-1), math.Pi*(2*u[2][r]-1)
		s1, s2 := math.Sin(x1), math.Sin(x2)
		y[r] = s1 + 7*s2*s2 + 0.1*x3*x3*x3*x3*s1
	}
}

// Exact: V1 = (1+b π⁴/5)²/2, V2 = a²/8, V13 = 8 b² π⁸/225, a = 7, b = 0.1.
var (
	ishigamiFirst = []float64{0.3139051911, 0.4424111448, 0}
	ishigamiTotal = []float64{0.5575888552, 0.4424111448, 0.2436836641}
)

func singles(n int) []Group {
	groups := make([]Group, n)
	for i := range groups {
		groups[i] = Group{Name: fmt.Sprintf("x%d", i+1), Columns: []int{i}}
	}
	return groups
}

func randomFill(seed uint64) Fill {
	return func(u [][]float64, replicate int) {
		random := rand.New(rand.NewPCG(seed, uint64(replicate)))
		for _, column := range u {
			for i := range column {
				column[i] = random.Float64()
			}
		}
	}
}

func latinFill(seed uint64) Fill {
	return func(u [][]float64, replicate int) {
		random := rand.New(rand.NewPCG(seed, uint64(replicate)))
		for _, column := range u {
			for i, stratum := range random.Perm(len(column)) {
				column[i] = (float64(stratum) + random.Float64()) / float64(len(column))
			}
		}
	}
}

// randomCase is a random check at 4.5 standard errors, which 32 replicates
// exceed by chance 1 time in 10 000.
func randomCase(name, source string, standing validation.Standing, want float64, got interval.MeanInterval) validation.Case {
	return validation.Case{
		Name: name, Source: source, Standing: standing, Expected: want, Obtained: got.Mean,
		Absolute: 4.5*got.StandardError + 5e-9,
		Reason:   "4.5 standard errors of 32 replicates (false alarm 1e-4), and the last digit given",
	}
}

func sobolCases(t *testing.T) []validation.Case {
	var cases []validation.Case
	o := SobolOptions{Rows: 2048, Replicates: 32, Level: 0.95}
	add := func(name, source string, f Function, firsts, totals []float64) {
		got, err := Sobol(f, latinFill(11), len(firsts), singles(len(firsts)), o)
		require.NoError(t, err)
		for i, index := range got.Indices {
			cases = append(cases,
				randomCase(fmt.Sprintf("%s, first-order index %d", name, i+1), source, validation.FromMemory, firsts[i], index.First),
				randomCase(fmt.Sprintf("%s, total index %d", name, i+1), source, validation.FromMemory, totals[i], index.Total))
		}
	}
	add("Ishigami function", "Saltelli et al. 2008; Sobol' & Levitan 1999; exact variances", ishigami, ishigamiFirst, ishigamiTotal)
	const gSource = "Saltelli & Sobol' 1995; product of V_i = 1/(3(1+a_i)²)"
	add("g-function, a = 0 1 4.5 9 99 99 99 99", gSource, gFunction([]float64{0, 1, 4.5, 9, 99, 99, 99, 99}),
		[]float64{.71619217, .17904804, .02367577, .00716192, 7.162e-5, 7.162e-5, 7.162e-5, 7.162e-5},
		[]float64{.78714413, .24219819, .03431691, .01046039, 1.0495e-4, 1.0495e-4, 1.0495e-4, 1.0495e-4})
	add("g-function, a = 0 0.5 3 9 99 99", gSource, gFunction([]float64{0, .5, 3, 9, 99, 99}),
		[]float64{.58678119, .26079164, .03667382, .00586781, 5.868e-5, 5.868e-5},
		[]float64{.69008589, .35617336, .05633354, .00917058, 9.201e-5, 9.201e-5})
	return cases
}

// gFunction is the product of (|4 x_i - 2| + a_i)/(1 + a_i).
func gFunction(a []float64) Function {
	return func(u [][]float64, y []float64) {
		for r := range y {
			y[r] = 1
			for i, v := range a {
				y[r] *= (math.Abs(4*u[i][r]-2) + v) / (1 + v)
			}
		}
	}
}

// Coverage by repetition of analyses of modest size, by plain and by Latin hypercube
// sampling; false alarm 1.4e-3 for each of twelve.
func TestSobolCoverage(t *testing.T) {
	if testing.Short() {
		t.Skip("many repetitions, single-threaded")
	}
	for name, fill := range map[string]func(uint64) Fill{"random": randomFill, "Latin": latinFill} {
		var first, total [3]int
		for seed := range uint64(repetitions) {
			got, err := Sobol(ishigami, fill(seed), 3, singles(3), SobolOptions{Rows: 64, Replicates: 10, Level: 0.95})
			require.NoError(t, err)
			for i, index := range got.Indices {
				first[i] += covers(index.First, ishigamiFirst[i])
				total[i] += covers(index.Total, ishigamiTotal[i])
			}
		}
		for i := range first {
			assertCovers(t, first[i], "%s, first %d", name, i+1)
			assertCovers(t, total[i], "%s, total %d", name, i+1)
			assert.LessOrEqual(t, share(first[i]), 0.97+3*coverageError, "not by being useless: %s, first %d", name, i+1)
		}
	}
}

// coverageError is the standard error of the share of intervals of 95 % that cover:
// 0.007 in the coverage suite, 0.031 in the plain one, which sees an interval of 80 % in
// five cases of six.
var coverageError = math.Sqrt(0.95 * 0.05 / repetitions)

func share(hits int) float64 { return float64(hits) / repetitions }

// assertCovers holds intervals of 95 % to at most three standard errors less.
func assertCovers(t *testing.T, hits int, what string, args ...any) {
	t.Helper()
	assert.GreaterOrEqual(t, share(hits), 0.95-3*coverageError, append([]any{what}, args...)...)
}

func covers(m interval.MeanInterval, truth float64) int {
	if m.Low <= truth && truth <= m.High {
		return 1
	}
	return 0
}

func TestSobolGroups(t *testing.T) {
	groups := []Group{{"x1 and x3", []int{0, 2}}, {"x2", []int{1}}}
	got, err := Sobol(ishigami, latinFill(1), 3, groups, SobolOptions{Rows: 1024, Replicates: 32, Level: 0.95})
	require.NoError(t, err)
	// x2 takes no part in any interaction: first and total agree for both groups.
	// 4.5 standard errors, false alarm 1e-4 each.
	for i, want := range []float64{0.5575888552, 0.4424111448} {
		assert.InDelta(t, want, got.Indices[i].First.Mean, 4.5*got.Indices[i].First.StandardError)
		assert.InDelta(t, want, got.Indices[i].Total.Mean, 4.5*got.Indices[i].Total.StandardError)
	}
	assert.InDelta(t, 3.5, got.Mean.Mean, 4.5*got.Mean.StandardError)
	assert.InDelta(t, 13.8445879407, got.Variance.Mean, 4.5*got.Variance.StandardError)
	assert.Equal(t, int64(1024*32*4), got.Evaluations)
}

func TestSobolExactEnds(t *testing.T) {
	only := func(u [][]float64, y []float64) {
		for r := range y {
			y[r] = 80 + 2*u[0][r]
		}
	}
	got, err := Sobol(only, randomFill(1), 2, singles(2), SobolOptions{Rows: 16, Replicates: 5, Level: 0.95})
	require.NoError(t, err)
	// The second is inert: exactly nothing. The first does everything, where
	// Saltelli's mean alone, with 80 rows, would be off by 0.2: the weight ST, an
	// estimate, leaves a tenth of it.
	assert.InDelta(t, 1, got.Indices[0].First.Mean, 0.02)
	assert.Equal(t, 0.0, got.Indices[1].First.Mean)
	assert.Equal(t, 0.0, got.Indices[1].Total.Mean)
	assert.False(t, got.Indices[0].Indistinguishable)
	assert.True(t, got.Indices[1].Indistinguishable)
}

func TestSobolFarFromZero(t *testing.T) {
	near, err := Sobol(ishigami, randomFill(1), 3, singles(3), SobolOptions{Rows: 256, Replicates: 10, Level: 0.95})
	require.NoError(t, err)
	far, err := Sobol(func(u [][]float64, y []float64) {
		ishigami(u, y)
		for r := range y {
			y[r] += 1e6
		}
	}, randomFill(1), 3, singles(3), SobolOptions{Rows: 256, Replicates: 10, Level: 0.95})
	require.NoError(t, err)
	for i := range near.Indices {
		// 1e-8: 1e6 keeps ten digits of an output of size 1.
		assert.InDelta(t, near.Indices[i].First.Mean, far.Indices[i].First.Mean, 1e-8)
		assert.InDelta(t, near.Indices[i].Total.Mean, far.Indices[i].Total.Mean, 1e-8)
		assert.InDelta(t, near.Indices[i].First.Low, far.Indices[i].First.Low, 1e-8)
	}
}

func TestSobolRefuses(t *testing.T) {
	o := SobolOptions{Rows: 16, Replicates: 5, Level: 0.95}
	constant := func(u [][]float64, y []float64) {
		for r := range y {
			y[r] = 353.15 * (1 + 1e-15*u[0][r])
		}
	}
	_, err := Sobol(constant, randomFill(1), 2, singles(2), o)
	var isConstant *ConstantOutputError
	require.ErrorAs(t, err, &isConstant)
	assert.InDelta(t, 353.15, isConstant.Value, 1e-9)
	assert.ErrorContains(t, err, "353.15")

	infinite := func(u [][]float64, y []float64) { ishigami(u, y); y[3] = math.Inf(1) }
	_, err = Sobol(infinite, randomFill(1), 3, singles(3), o)
	var notFinite *NotFiniteError
	require.ErrorAs(t, err, &notFinite)
	assert.Equal(t, NotFiniteError{Count: 25, Total: 400}, *notFinite)
	assert.ErrorContains(t, err, "25 of 400")

	for name, c := range map[string]struct {
		groups []Group
		o      SobolOptions
	}{
		"rows 1":             {singles(3), SobolOptions{Rows: 1, Replicates: 5, Level: 0.95}},
		"replicates 4":       {singles(3), SobolOptions{Rows: 16, Replicates: 4, Level: 0.95}},
		"level NaN":          {singles(3), SobolOptions{Rows: 16, Replicates: 5, Level: math.NaN()}},
		"groups":             {nil, o},
		"named twice":        {[]Group{{"a", []int{0}}, {"a", []int{1}}}, o},
		"no columns":         {[]Group{{"a", nil}}, o},
		"column 3":           {[]Group{{"a", []int{3}}}, o},
		"belongs to group":   {[]Group{{"a", []int{0}}, {"b", []int{1, 0}}}, o},
		`belongs to group "`: {[]Group{{"a", []int{0, 0}}}, o},
	} {
		_, err := Sobol(ishigami, randomFill(1), 3, c.groups, c.o)
		assert.ErrorContains(t, err, name)
	}
}

func BenchmarkSobol(b *testing.B) {
	b.Run("rows=1024/groups=3/replicates=10", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := Sobol(ishigami, latinFill(1), 3, singles(3), SobolOptions{Rows: 1024, Replicates: 10, Level: 0.95}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
