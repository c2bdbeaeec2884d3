package rare

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"pgregory.net/rapid"

	"clampodds/sim/result"
	_ "clampodds/testdata/fixedseed"
)

// pointsOf are the design points of a problem.
func pointsOf(t require.TestingT, p Problem, seed uint64) []DesignPoint {
	r, err := Estimate(p, usual(seed))
	require.NoError(t, err)
	return r.DesignPoints
}

func codes(warnings []result.Warning) (codes []result.WarningCode) {
	for _, w := range warnings {
		codes = append(codes, w.Code)
	}
	return codes
}

// A linear state is the exact case: its design point is beta alpha.
func TestLinearStateIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dim := rapid.IntRange(1, 12).Draw(t, "dim")
		beta := rapid.Float64Range(0.5, 7).Draw(t, "beta")
		alpha := rapid.SliceOfN(rapid.Float64Range(-1, 1), dim, dim).Draw(t, "alpha")
		length := floats.Norm(alpha, 2)
		if length < 0.1 {
			t.Skip("no direction")
		}
		floats.Scale(1/length, alpha)
		unit := math.Pow(10, rapid.Float64Range(-6, 6).Draw(t, "decades of the unit"))
		p := problem(dim, func(u []float64) float64 { return unit * (beta - floats.Dot(alpha, u)) })
		points := pointsOf(t, p, 1)
		require.NotEmpty(t, points)
		found := points[0]
		// Differences of a linear function over 1e-3 keep 12 digits or so.
		assert.InDelta(t, beta, found.Beta, 1e-8)
		assert.InDeltaSlice(t, alpha, found.Alpha, 1e-8)
		assert.InDelta(t, beta, floats.Norm(found.U, 2), 1e-8)
		assert.InDelta(t, 1, floats.Sum(found.Importance()), 1e-12)
	})
}

func TestEventAtTheOriginHasNegativeBeta(t *testing.T) {
	points := pointsOf(t, linear(3, -2), 1)
	require.NotEmpty(t, points)
	assert.InDelta(t, -2, points[0].Beta, 1e-8)
	assert.InDelta(t, 0.97724986805, points[0].Approximation(), 1e-8) // Phi(2)
	assert.Positive(t, points[0].Alpha[0])
}

func TestAllDesignPointsAreFound(t *testing.T) {
	all := map[string]Problem{}
	for _, s := range states() {
		all[s.id] = s.problem
	}
	beside := 0
	// Closed forms, or the table of the states; order of the list does not count.
	for id, want := range map[string][]float64{
		"B1c (RP107): 5 sqrt 10 - sum of 10":    {5},
		"B2: four branches, k = 7":              {3, 3, 3.5, 3.5},
		"B2: four branches, k = 6":              {3, 3, 3, 3},
		"B3 (RP22): convex quadratic":           {2.5},
		"B4: concave quadratic":                 {math.Sqrt(2.75), math.Sqrt(2.75)}, // t^2 = 5/2, s = 1/2
		"B6 (RP28): product, two design points": {5.333124, 5.333124},
		"B7 (RP35): two modes":                  {3, 3, 3},
		"B9 (RP75): 3 - x1 x2":                  {math.Sqrt(6), math.Sqrt(6)},
		"B10 (RP111): 12.5 - abs(x1 x2)":        {5, 5, 5, 5},
		"B12: parabola, two design points":      {2.905696, 3.094258},
		"B14 (RP8): six lognormals":             {3.211640},
		"ln R - ln S":                           {2.82991411},
	} {
		for seed := range uint64(5) {
			points, exact := pointsOf(t, all[id], seed), true
			for _, beta := range want {
				within := func(tolerance float64) int {
					return slices.IndexFunc(points, func(d DesignPoint) bool { return math.Abs(d.Beta-beta) < tolerance })
				}
				// The search ends 5e-3 from the point, where the distance is flat to
				// second order; forward differences move it by about as little.
				k := within(2e-3)
				if k < 0 {
					exact, k = false, within(0.02*beta)
				}
				if assert.GreaterOrEqual(t, k, 0, "%s, seed %d: none at %g", id, seed, beta) {
					points = slices.Delete(points, k, k+1) // equal ones are found one by one
				}
			}
			if !exact {
				beside++
			}
		}
	}
	// A search that rests ends beside the point, 1 or 2 % further out, in 4 of 720 runs
	// of seeds 1000 to 1059. More than 2 of these 60 are a false alarm in 200.
	assert.LessOrEqual(t, beside, 2)
}

func TestSearchBacksOffFromAJump(t *testing.T) {
	for _, undefined := range []float64{math.Inf(-1), math.Inf(1)} {
		// The first step from the origin is cut to 4 and still too long.
		p := problem(2, func(u []float64) float64 {
			if u[0] > 3.5 {
				return undefined
			}
			return math.Exp(3) - math.Exp(u[0])
		})
		search := (&meter{Problem: p, limit: 2000}).newSearch(0)
		origin := []float64{0, 0}
		d, end := search.descend(origin, search.limitState(origin), nil)
		require.Equal(t, found, end)
		assert.InDelta(t, 3, d.Beta, 1e-3)
	}
}

func TestGradientBesideAJump(t *testing.T) {
	// Only the backward neighbour has a value in variable 0, neither in variable 1.
	p := problem(3, func(u []float64) float64 {
		if u[0] > 1 || u[1] != 0 {
			return math.Inf(-1)
		}
		return 2*u[0] + 5*u[2]
	})
	search := (&meter{Problem: p, limit: 100}).newSearch(0)
	assert.InDeltaSlice(t, []float64{2, 0, 5}, search.gradient([]float64{1, 0, 0}, 2, search.active), 1e-9)
}

func TestNoSlopeNoDesignPoint(t *testing.T) {
	for name, p := range map[string]Problem{
		"flat":      problem(3, func([]float64) float64 { return 1 }),
		"undefined": problem(3, func([]float64) float64 { return math.Inf(1) }),
		"too far":   linear(3, 20),
	} {
		assert.Empty(t, pointsOf(t, p, 1), name)
	}
}
