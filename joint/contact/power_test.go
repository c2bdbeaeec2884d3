package contact

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// everyScale visits numbers of every size, evenly in the logarithm, more beside 1.
func everyScale(visit func(x float64)) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 50_000 {
		visit(math.Exp(random.Float64()*80 - 40))
		visit(1 + 0.02*(random.Float64()-0.5))
	}
	for e := -100; e <= 100; e++ {
		for i := range 4 * nodes {
			x := math.Ldexp(1+float64(i)/(4*nodes), e) // nodes and the borders between them
			visit(x)
			visit(math.Nextafter(x, 0))
		}
	}
	visit(0x1p-1022)
	visit(math.MaxFloat64)
}

func TestLogarithm(t *testing.T) {
	everyScale(func(x float64) {
		want := math.Log(x)
		require.InDelta(t, want, logarithm(x), 1e-15*math.Abs(want), "x = %v", x) // a handful of roundings of 1.1e-16
	})
}

func TestPower(t *testing.T) {
	for _, exponent := range []float64{spotPower.exponent, gapPower.exponent, slopePower.exponent} {
		p := newPower(exponent)
		everyScale(func(x float64) {
			// What the tests compare with is itself the exponential of a product that is
			// rounded to 1.1e-16 of itself, once here and twice in a power of 2.
			tolerance := 1e-15 + 3.4e-16*math.Abs(exponent*math.Log(x))
			require.InEpsilon(t, math.Pow(x, exponent), p.of(x), tolerance, "x = %v", x)
		})
	}
}

// BenchmarkElementary sets our functions beside those they stand for.
func BenchmarkElementary(b *testing.B) {
	x := make([]float64, 1024)
	random := rand.New(rand.NewPCG(1, 2))
	for i := range x {
		x[i] = math.Exp(-10 * random.Float64())
	}
	sum := 0.0
	each := func(name string, f func(x float64) float64) {
		b.Run("function="+name, func(b *testing.B) {
			for b.Loop() {
				for _, v := range x {
					sum += f(v)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(x)), "ns/value")
		})
	}
	each("logarithm", logarithm)
	each("math.Log", math.Log)
	each("power", spotPower.of)
	each("math.Exp", func(x float64) float64 { return math.Exp(0.95 * x) })
	each("contactFraction", contactFraction)
	each("math.Asin", func(x float64) float64 { return 2 / math.Pi * math.Asin(math.Sqrt(x)) })
}
