package dist

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"clampodds/joint/lanes"
)

// TestRowsAreQuantiles: a value of a row has the bits that it has alone, and a row that has one outside the table
// is refused.
func TestRowsAreQuantiles(t *testing.T) {
	if lanes.Width > 1 && !lanes.Fast {
		t.Skip("the processor has no vectors")
	}
	random := rand.New(rand.NewPCG(1, 2))
	normal, lognormal, halfNormal := Normal{3, 0.7}, Lognormal{1.3, 0.4}, HalfNormal{2e-6}
	cut := func(d Distribution, low, high float64) Truncated {
		left, err := NewTruncated(d, low, high)
		require.NoError(t, err)
		return left.(Truncated)
	}
	cutNormal, cutLognormal, uniform := cut(normal, 2, 4.5), cut(lognormal, 0.8, math.Inf(1)), Uniform{-0.3, 0.8}
	var b block
	for _, c := range []struct {
		name string
		row  func(dst, u *lanes.Row) bool
		of   func(p float64) float64
	}{
		{"scores", b.quantiles, NormalQuantile},
		{"normal", func(dst, u *lanes.Row) bool { return b.normal(normal, dst, u) }, normal.Quantile},
		{"lognormal", func(dst, u *lanes.Row) bool { return b.lognormal(lognormal, dst, u) }, lognormal.Quantile},
		{"half-normal", func(dst, u *lanes.Row) bool { return b.probabilities(u) && b.halfNormalOf(halfNormal, dst) }, halfNormal.Quantile},
		{"uniform", func(dst, u *lanes.Row) bool { return b.probabilities(u) && b.uniformOf(uniform, dst) }, uniform.Quantile},
		{"normal, cut", func(dst, u *lanes.Row) bool { return b.probabilities(u) && b.truncatedOf(cutNormal, dst) }, cutNormal.Quantile},
		{"lognormal, cut", func(dst, u *lanes.Row) bool { return b.probabilities(u) && b.truncatedOf(cutLognormal, dst) }, cutLognormal.Quantile},
	} {
		for range 500 {
			var u, x lanes.Row
			for i := range u {
				u[i] = 0x1p-11 + (1-0x1p-10)*random.Float64()
			}
			u[random.IntN(len(u))] = []float64{0.5, 0.25, math.Nextafter(0.5, 0), math.Nextafter(0.5, 1), 0x1p-11}[random.IntN(5)]
			require.True(t, c.row(&x, &u), c.name)
			for i, p := range u {
				require.Equal(t, math.Float64bits(c.of(p)), math.Float64bits(x[i]), "%s at %v", c.name, p)
			}
			y := x
			odd := []float64{1.5, -0.01, math.NaN(), math.Inf(1)}
			switch c.name {
			case "uniform", "normal, cut", "lognormal, cut":
				odd = append(odd, 0, 1) // the ends
			default:
				odd = append(odd, 1, 1-0x1p-53)
			}
			u[random.IntN(len(u))] = odd[random.IntN(len(odd))]
			require.False(t, c.row(&y, &u), c.name)
			require.Equal(t, x, y, "%s: a row that is refused is left alone", c.name)
		}
	}
	wide := Lognormal{1, 1000}
	var u, x lanes.Row
	u.Fill(0.9)
	require.True(t, b.lognormal(wide, &x, &u), "exponents beyond the table's")
	require.Equal(t, wide.Quantile(0.9), x[0])
}

// TestRowsOfScores: likewise of scores, tails and ones beyond the table included.
func TestRowsOfScores(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	cut := func(d Distribution, low, high float64) Distribution {
		left, err := NewTruncated(d, low, high)
		require.NoError(t, err)
		return left
	}
	for _, d := range []Distribution{
		Normal{3, 0.7}, Lognormal{1.3, 0.4}, HalfNormal{2e-6}, Uniform{-0.3, 0.8}, Weibull{2, 1, 0},
		cut(Normal{3, 0.7}, 2, 4.5), cut(Lognormal{1.3, 0.4}, 0.8, math.Inf(1)), cut(Normal{3, 0.7}, math.Inf(-1), 1), cut(Weibull{2, 1, 0}, 0.1, 2),
	} {
		for range 200 {
			z := make([]float64, 2*lanes.Count+3)
			for i := range z {
				z[i] = 2 * random.NormFloat64()
			}
			z[random.IntN(len(z))] = []float64{0, math.Copysign(0, -1), 7.99, -7.99, 8, -9, 20, math.Inf(1), math.Inf(-1)}[random.IntN(9)]
			x := slices.Clone(z)
			FromNormalScores(d, x)
			for i := range z {
				require.Equal(t, math.Float64bits(FromNormalScore(d, z[i])), math.Float64bits(x[i]), "%v at score %v", d, z[i])
			}
		}
	}
}
