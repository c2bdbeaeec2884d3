package rare

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"pgregory.net/rapid"

	_ "clampodds/testdata/fixedseed"
)

// pointsOf searches the design points of a problem as Estimate does.
func pointsOf(p Problem, seed uint64) ([]DesignPoint, []Warning) {
	m := &meter{Problem: p, limit: 6000}
	return findDesignPoints(m, newScreen(m, stream(seed), 500, 250), stream(seed))
}

func codes(warnings []Warning) (codes []Code) {
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
		points, warnings := pointsOf(p, 1)
		require.Len(t, points, 1)
		require.Empty(t, warnings)
		found := points[0]
		// Differences of a linear function over 1e-3 keep 12 digits or so.
		assert.InDelta(t, beta, found.Beta, 1e-8)
		assert.InDeltaSlice(t, alpha, found.Alpha, 1e-8)
		assert.InDelta(t, beta, floats.Norm(found.U, 2), 1e-8)
		assert.InDelta(t, 1, floats.Sum(found.Importance()), 1e-12)
		assert.True(t, found.Converged)
	})
}

func TestEventAtTheOriginHasNegativeBeta(t *testing.T) {
	points, _ := pointsOf(linear(3, -2), 1)
	require.Len(t, points, 1)
	assert.InDelta(t, -2, points[0].Beta, 1e-8)
	assert.InDelta(t, 0.97724986805, points[0].Approximation(), 1e-8) // Phi(2)
	assert.Positive(t, points[0].Alpha[0])
	m := &meter{Problem: linear(3, -2), limit: 6000}
	s := newScreen(m, stream(1), 500, 250)
	assert.Positive(t, s.g[0][s.starts(0)[0]], "the search starts beyond the surface")
}

// betas lists the distances of the points of a state, in the order found.
func betas(points []DesignPoint) (b []float64) {
	for _, p := range points {
		b = append(b, p.Beta)
	}
	return b
}

func TestAllDesignPointsAreFound(t *testing.T) {
	all := map[string]Problem{}
	for _, s := range states() {
		all[s.id] = s.problem
	}
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
			points, _ := pointsOf(all[id], seed)
			// The search ends 5e-3 from the point, where the distance is flat to
			// second order; forward differences move it by about as little.
			assert.InDeltaMapValues(t, counts(want), counts(betas(points)), 0, id)
		}
	}
}

// counts tells how often each value occurs, rounded to 1/500.
func counts(values []float64) map[int]float64 {
	n := map[int]float64{}
	for _, v := range values {
		n[int(math.Round(v*500))]++
	}
	return n
}

func TestSaddlePointIsLeft(t *testing.T) {
	for _, s := range states() {
		if s.id != "B6 (RP28): product, two design points" {
			continue
		}
		// From the origin symmetry leads onto the diagonal, where the distance is
		// greatest along the surface: beta 5.43 instead of 5.333.
		m := &meter{Problem: s.problem, limit: 1000}
		search := m.newSearch(0)
		p, end := search.descend(make([]float64, 2), search.limitState(make([]float64, 2)), nil)
		require.Equal(t, found, end)
		assert.InDelta(t, 5.43, p.Beta, 0.005)
		past := search.beyond(p, stream(1)("test", 0))
		assert.Len(t, past, 2)
		_, warnings := pointsOf(s.problem, 1)
		assert.Contains(t, codes(warnings), SaddlePoint)
	}
}

// The direction of greatest curvature is none of the axes and has no share in
// the gradient.
func TestSaddleInManyVariables(t *testing.T) {
	p := problem(60, func(u []float64) float64 { return 4 - u[0] - 0.4*u[10]*u[20] + 0.1*u[30]*u[30] })
	points, warnings := pointsOf(p, 1)
	assert.Contains(t, codes(warnings), SaddlePoint)
	require.Len(t, points, 2)
	for _, d := range points {
		// With u10 = u20 = v: 4 = s + 0.4 v^2, least s^2 + 2 v^2 at s = 2.5.
		assert.InDelta(t, math.Sqrt(2.5*2.5+2*1.5/0.4), d.Beta, 0.002)
	}
}

func TestKinkIsUsedUnconverged(t *testing.T) {
	p := problem(2, func(u []float64) float64 { return 3 - u[0] + 0.3*math.Abs(u[1]) })
	points, warnings := pointsOf(p, 1)
	assert.Contains(t, codes(warnings), NotConverged)
	require.Len(t, points, 1)
	assert.False(t, points[0].Converged)
	assert.InDelta(t, 3, points[0].Beta, 0.02) // bisected to 1/256
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
		"too far":   linear(3, 10),
	} {
		points, warnings := pointsOf(p, 1)
		assert.Empty(t, points, name)
		assert.Contains(t, codes(warnings), NoDesignPoint, name)
	}
}

func TestSearchKeepsToItsLimit(t *testing.T) {
	m := &meter{Problem: linear(50, 4), limit: 500}
	s := newScreen(m, stream(1), 100, 50)
	_, warnings := findDesignPoints(m, s, stream(1))
	assert.LessOrEqual(t, m.used, m.limit)
	assert.Contains(t, codes(warnings), SearchCutShort)
}

// Either of two causes among many variables serves: from the origin symmetry leads
// between them, to beta = sqrt 2 (4.5 - ln 2).
func TestEitherOfTwoCauses(t *testing.T) {
	p := problem(60, func(u []float64) float64 { return 4.5 - math.Log(math.Exp(u[7])+math.Exp(u[23])) })
	m := &meter{Problem: p, limit: 1500}
	points, warnings := findDesignPoints(m, newScreen(m, stream(1), 200, 100), stream(1))
	assert.Contains(t, codes(warnings), SaddlePoint)
	require.Len(t, points, 2)
	for _, found := range points {
		// On exp(a) + exp(b) = exp(4.5) the distance is least where a exp(-a) = b exp(-b).
		a, b := math.Max(found.U[7], found.U[23]), math.Min(found.U[7], found.U[23])
		assert.InDelta(t, a*math.Exp(-a), b*math.Exp(-b), 2e-3, "the search ends within 5e-3")
		assert.InDelta(t, 4.5, math.Log(math.Exp(a)+math.Exp(b)), 1e-3)
		assert.Less(t, found.Beta, 4.5)
	}
	assert.InDelta(t, points[0].U[7], points[1].U[23], 0.01, "mirrored")
}
