package sim

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"clampodds/dist"
	"clampodds/sim/batch"
)

func TestInvalidPlansAreRefused(t *testing.T) {
	a, b := variable("a", uniform(0, 1)), variable("b", uniform(0, 1))
	c := shared("c", uniform(0, 1))
	for text, plan := range map[string]struct {
		vars []Variable
		corr []Correlation
		rows int
	}{
		"rows per group: 0":                    {[]Variable{a}, nil, 0},
		"has no name":                          {[]Variable{variable("", a.Dist)}, nil, 1},
		"NUL in the name":                      {[]Variable{variable("a\x001", a.Dist)}, nil, 1},
		`duplicate variable "a"`:               {[]Variable{a, b, a}, nil, 1},
		"unknown level 0":                      {[]Variable{{Name: "a", Dist: a.Dist}}, nil, 1},
		"no distribution":                      {[]Variable{{Name: "a", Level: Card}}, nil, 1},
		`no variable "z"`:                      {[]Variable{a}, []Correlation{{"a", "z", 0.1}}, 1},
		`no variable "y"`:                      {[]Variable{a}, []Correlation{{"y", "a", 0.1}}, 1},
		"with itself":                          {[]Variable{a}, []Correlation{{"a", "a", 0.1}}, 1},
		"levels, card and chassis":             {[]Variable{a, c}, []Correlation{{"a", "c", 0.1}}, 1},
		"rank correlation 1,":                  {[]Variable{a, b}, []Correlation{{"a", "b", 1}}, 1},
		"rank correlation NaN,":                {[]Variable{a, b}, []Correlation{{"a", "b", math.NaN()}}, 1},
		`duplicate correlation of "b" and "a"`: {[]Variable{a, b}, []Correlation{{"a", "b", 0.1}, {"b", "a", 0.1}}, 1},
	} {
		_, err := NewInputs(plan.vars, plan.corr, plan.rows)
		assert.ErrorContains(t, err, text)
	}
}

func TestLevelWords(t *testing.T) {
	assert.Equal(t, "design", Design.String())
	assert.Equal(t, "face", Face.String())
	assert.Equal(t, "level 7", Level(7).String())
	assert.True(t, Chassis.Shared())
	assert.False(t, Card.Shared())
}

// mixedPlan has all kinds of variables: alone, shared, correlated, and
// correlated and shared.
func mixedInputs(t testing.TB) *Inputs {
	t.Helper()
	in, err := NewInputs([]Variable{
		variable("alone", must(dist.NewWeibull(2, 1, 0))), shared("plate", normal(60, 3)),
		variable("b", uniform(0, 1)), variable("a", must(dist.NewLognormal(1, 0.3))),
		shared("lot 2", normal(0, 1)), shared("lot 1", must(dist.NewGumbel(0, 1))),
	}, []Correlation{{"a", "b", 0.6}, {"lot 1", "lot 2", -0.8}}, 3)
	require.NoError(t, err)
	return in
}

func randomColumns(purpose string, n, rows int) [][]float64 {
	u := batch.Columns(n, rows)
	for i := range u {
		stream := NewStream(1, purpose, uint64(i), "")
		stream.Fill(u[i])
	}
	return u
}

func TestTransformAndFromNormalAgree(t *testing.T) {
	in := mixedInputs(t)
	u := randomColumns("plan test", 6, 300)
	z, fromCube, fromNormal := batch.Columns(6, 300), batch.Columns(6, 300), batch.Columns(6, 300)
	for i := range u {
		for r, point := range u[i] {
			z[i][r] = dist.NormalQuantile(point)
		}
	}
	before := append([]float64(nil), u[4]...)
	in.Transform(u, fromCube)
	in.FromNormal(z, fromNormal)
	assert.Equal(t, before, u[4], "the coordinates are not changed")
	for i, v := range in.Variables() {
		for r := range fromCube[i] {
			require.InDelta(t, fromCube[i][r], fromNormal[i][r], 1e-11*(1+math.Abs(fromCube[i][r])), "two quantile functions, each to 1e-12")
			if v.Level.Shared() {
				require.Equal(t, fromCube[i][r-r%3], fromCube[i][r], "one draw for the group")
			}
		}
		assert.NotEqual(t, fromCube[i][0], fromCube[i][3], "another draw for the next group")
	}
	// The first of a correlated set in the order of names keeps its own draws.
	for r, point := range u[3] {
		require.InEpsilon(t, in.Variables()[3].Dist.Quantile(point), fromCube[3][r], 1e-12)
	}

	in.Transform(u, u)
	assert.Equal(t, fromCube, u, "in place")
}

func TestTransformDoesNotAllocate(t *testing.T) {
	in, u, x := mixedInputs(t), randomColumns("plan test", 6, 300), batch.Columns(6, 300)
	assert.Zero(t, testing.AllocsPerRun(10, func() { in.Transform(u, x) }))
	assert.Zero(t, testing.AllocsPerRun(10, func() { in.FromNormal(u, x) }))
}

// Far out in either tail nothing is lost: the point of the unit cube could not
// tell 1 - 1e-40 from 1.
func TestFromNormalKeepsBothTails(t *testing.T) {
	in := newInputs(t, 1, variable("a", must(dist.NewWeibull(1, 1, 0))))
	z := [][]float64{{-13, 13}}
	in.FromNormal(z, z)
	assert.InEpsilon(t, dist.NormalCDF(-13), z[0][0], 1e-11, "exponential: x = q in the lower tail")
	assert.InEpsilon(t, -math.Log(dist.NormalCDF(-13)), z[0][1], 1e-11, "and -ln q in the upper one")
}

// The rank correlation asked for is the one obtained, whatever the shapes, and
// the marginals are untouched. Standard error of a rank correlation at n = 20000
// is at most 1/sqrt(n) = 0.0071; 5 of them: a false alarm in 2e6 runs.
func TestSpearmanCorrelationIsRecovered(t *testing.T) {
	const rows = 20_000
	rapid.Check(t, func(t *rapid.T) {
		rank := rapid.Float64Range(-0.98, 0.98).Draw(t, "rank")
		seed := rapid.Uint64().Draw(t, "seed")
		in, err := NewInputs([]Variable{
			variable("a", must(dist.NewLognormal(1, 0.8))), variable("b", must(dist.NewWeibull(0.9, 1, 0))),
		}, []Correlation{{"b", "a", rank}}, 1)
		require.NoError(t, err)
		u := batch.Columns(2, rows)
		Random{}.Fill(u, []string{"a", "b"}, seed, 0)
		in.Transform(u, u)
		got := stat.Correlation(ranks(u[0]), ranks(u[1]), nil)
		require.InDelta(t, rank, got, 5*(1-rank*rank)*math.Sqrt(1+rank*rank/2)/math.Sqrt(rows)+1e-4)
	})
}

// A set of three, also drawn in place: every pair gets its correlation. Five
// standard errors of at most 1/sqrt(n): a false alarm in 6e5 runs.
func TestThreeCorrelatedVariables(t *testing.T) {
	const rows = 20_000
	corr := []Correlation{{"a", "b", 0.5}, {"b", "c", -0.6}, {"a", "c", 0.2}}
	in, err := NewInputs([]Variable{
		variable("c", uniform(0, 1)), variable("a", normal(0, 1)), variable("b", must(dist.NewGumbel(0, 1))),
	}, corr, 1)
	require.NoError(t, err)
	u := randomColumns("three", 3, rows)
	in.Transform(u, u)
	column := map[string][]float64{"c": ranks(u[0]), "a": ranks(u[1]), "b": ranks(u[2])}
	for _, c := range corr {
		assert.InDelta(t, c.Rank, stat.Correlation(column[c.A], column[c.B], nil), 5/math.Sqrt(rows), "%s, %s", c.A, c.B)
	}
}

// ranks replaces each value by its rank.
func ranks(values []float64) []float64 {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(values[a], values[b]) })
	r := make([]float64, len(values))
	for rank, i := range order {
		r[i] = float64(rank)
	}
	return r
}
