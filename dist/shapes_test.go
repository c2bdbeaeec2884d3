package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"
)

const ulp = 0x1p-52

// exampleSpecs is one specification of every shape.
func exampleSpecs() map[string]Spec {
	specs := map[string]Spec{}
	add := func(shape string, values map[string]float64) { specs[shape] = Spec{shape, values} }
	add("fixed", map[string]float64{"value": 0.35})
	add("normal", map[string]float64{"mean": 0.70, "sd": 0.035})
	add("lognormal", map[string]float64{"median": 0.14, "p95": 0.20})
	add("uniform", map[string]float64{"nominal": 9.80e-3, "plus": 0.05e-3, "minus": 0.02e-3})
	add("triangular", map[string]float64{"low": 1, "mode": 3, "high": 3.5})
	add("trapezoidal", map[string]float64{"low": -2, "low_mode": -1, "high_mode": 0.5, "high": 2.5})
	add("half-normal", map[string]float64{"p95": 20e-6})
	add("rayleigh", map[string]float64{"mean": 3e-6})
	add("weibull", map[string]float64{"shape": 1.7, "scale": 4, "location": 0.5})
	add("beta", map[string]float64{"alpha": 2, "beta": 3.5, "low": 0.1, "high": 0.9})
	add("gamma", map[string]float64{"mean": 5, "sd": 3})
	add("gumbel", map[string]float64{"mean": 10, "sd": 2})
	add("student-t", map[string]float64{"dof": 5, "location": 1, "scale": 2})
	add("arcsine", map[string]float64{"low": -0.5, "high": 0.5})
	add("curvilinear-trapezoid", map[string]float64{"low": -0.05, "high": 0.05, "inexactness": 0.025})
	return specs
}

// auditReadings is an invented torque audit, N m, with a tie.
var auditReadings = []float64{2.48, 2.55, 2.51, 2.44, 2.57, 2.50, 2.53, 2.46, 2.49, 2.58, 2.50, 2.41}

// exampleShapes is one of each, built.
func exampleShapes(tb testing.TB) map[string]Distribution {
	shapes := map[string]Distribution{}
	for name, s := range exampleSpecs() {
		d, err := FromSpec(s)
		require.NoError(tb, err, name)
		shapes[name] = d
	}
	add := func(name string, d Distribution, err error) {
		require.NoError(tb, err, name)
		shapes[name] = d
	}
	mixture, err := NewMixture([]float64{0.6, 0.3, 0.1}, []Distribution{Normal{0.70, 0.02}, Normal{0.74, 0.03}, Normal{0.60, 0.01}})
	add("mixture", mixture, err)
	resampled, err := NewResampled(auditReadings)
	add("resampled", resampled, err)
	smoothed, err := NewSmoothed(auditReadings)
	add("smoothed", smoothed, err)
	truncated, err := NewTruncated(Normal{0.7, 0.035}, 0.6, 0.8)
	add("truncated", truncated, err)
	stretched, err := WithSpread(shapes["weibull"], 1.5)
	add("stretched", stretched, err)
	return shapes
}

// continuousShapes leaves out the shapes that consist of steps.
func continuousShapes(tb testing.TB) map[string]Distribution {
	shapes := exampleShapes(tb)
	delete(shapes, "fixed")
	delete(shapes, "resampled")
	return shapes
}

// quantileError is what a quantile x may be off by: the rounding of its parts,
// and the stated 1e-9 of the tables.
func quantileError(d Distribution, x float64) float64 {
	low, high := d.Support()
	size := math.Abs(x) + math.Abs(d.Mean())
	for _, end := range []float64{low, high} {
		if !math.IsInf(end, 0) {
			size += math.Abs(end)
		}
	}
	size *= 8 * ulp
	switch d := d.(type) {
	case Gamma:
		size += 1e-9 * x
	case Beta:
		size += 1e-9 * min(x-d.low, d.high-x)
	case StudentT:
		size += 1e-9 * math.Abs(x-d.location)
	}
	return size
}

// requireRoundTrip checks in both tails that the tail probability p lies between
// those at the two ends of the quantile's own error, within 1e-12 relative.
func requireRoundTrip(t require.TestingT, name string, d Distribution, p float64) {
	x := d.Quantile(p)
	off := quantileError(d, x)
	require.LessOrEqualf(t, d.CDF(x-off), p*(1+1e-12), "%s: lower tail %g at %g", name, p, x)
	require.GreaterOrEqualf(t, d.CDF(x+off), p*(1-1e-12), "%s: lower tail %g at %g", name, p, x)
	x = d.UpperQuantile(p)
	off = quantileError(d, x)
	require.LessOrEqualf(t, d.Survival(x+off), p*(1+1e-12), "%s: upper tail %g at %g", name, p, x)
	require.GreaterOrEqualf(t, d.Survival(x-off), p*(1-1e-12), "%s: upper tail %g at %g", name, p, x)
}

func TestRoundTripOfExamples(t *testing.T) {
	shapes := continuousShapes(t)
	delete(shapes, "truncated") // has no tail below the rounding of its cuts; tested by itself
	for name, d := range shapes {
		for exponent := 0.0; exponent >= -15; exponent -= 0.25 {
			requireRoundTrip(t, name, d, 0.999*math.Pow(10, exponent))
		}
	}
}

// anyShape draws a shape with any reasonable parameters.
func anyShape(t *rapid.T) (string, Distribution) {
	number := func(low, high float64, label string) float64 { return rapid.Float64Range(low, high).Draw(t, label) }
	place, size := number(-100, 100, "place"), math.Pow(10, number(-6, 3, "log size"))
	k := math.Pow(10, number(-0.6, 1.5, "log k"))
	constructors := map[string]func() (Distribution, error){
		"normal":      func() (Distribution, error) { return NewNormal(place, size) },
		"lognormal":   func() (Distribution, error) { return NewLognormal(size, number(0.01, 2, "sigma")) },
		"uniform":     func() (Distribution, error) { return NewUniform(place, place+size) },
		"triangular":  func() (Distribution, error) { return NewTriangular(place, place+size*number(0, 1, "mode"), place+size) },
		"half-normal": func() (Distribution, error) { return NewHalfNormal(size) },
		"weibull":     func() (Distribution, error) { return NewWeibull(k, size, place) },
		"rayleigh":    func() (Distribution, error) { return NewRayleigh(size) },
		"gamma":       func() (Distribution, error) { return NewGamma(k, size) },
		"beta":        func() (Distribution, error) { return NewBeta(k, number(0.3, 20, "beta"), place, place+size) },
		"gumbel":      func() (Distribution, error) { return NewGumbel(place, size) },
		"student-t":   func() (Distribution, error) { return NewStudentT(1+k, place, size) },
		"arcsine":     func() (Distribution, error) { return NewArcsine(place, place+size) },
		"curvilinear-trapezoid": func() (Distribution, error) {
			return NewCurvilinearTrapezoid(place, place+size, size*number(0.01, 0.49, "inexactness"))
		},
		"mixture": func() (Distribution, error) {
			return NewMixture([]float64{1, number(0.01, 9, "weight")},
				[]Distribution{Normal{0, size}, Normal{size * number(0, 9, "apart"), size * number(0.2, 3, "ratio")}})
		},
	}
	name := rapid.SampledFrom([]string{
		"normal", "lognormal", "uniform", "triangular", "half-normal", "weibull", "rayleigh",
		"gamma", "beta", "gumbel", "student-t", "arcsine", "curvilinear-trapezoid", "mixture",
	}).Draw(t, "shape")
	d, err := constructors[name]()
	require.NoError(t, err)
	return name, d
}

func TestRoundTripOfAnyShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name, d := anyShape(t)
		for range 5 {
			requireRoundTrip(t, name, d, math.Pow(10, rapid.Float64Range(-15, -0.01).Draw(t, "log p")))
		}
	})
}

func TestQuantilesRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name, d := anyShape(t)
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		q := min(1, p+math.Pow(10, rapid.Float64Range(-12, 0).Draw(t, "log step")))
		slack := 4 * ulp * (math.Abs(d.Quantile(p)) + math.Abs(d.Mean())) // rounding of the last operation
		require.GreaterOrEqual(t, d.Quantile(q)+slack, d.Quantile(p), name)
		require.LessOrEqual(t, d.UpperQuantile(q)-slack, d.UpperQuantile(p), name)
	})
}

// Dyadic probabilities have an exact complement, so the two ways in have to agree.
func TestUpperQuantileIsQuantileOfComplement(t *testing.T) {
	for name, d := range exampleShapes(t) {
		for k := 1.0; k < 32; k++ {
			p := k / 32
			lower, upper := d.Quantile(p), d.UpperQuantile(1-p)
			assert.InDelta(t, lower, upper, 1e-12*(math.Abs(lower)+d.StdDev()), "%s at %g", name, p)
		}
	}
}

func TestEndsAndOutside(t *testing.T) {
	for name, d := range exampleShapes(t) {
		low, high := d.Support()
		assert.Equal(t, low, d.Quantile(0), name)
		assert.Equal(t, high, d.Quantile(1), name)
		assert.Equal(t, high, d.UpperQuantile(0), name)
		assert.Equal(t, low, d.UpperQuantile(1), name)
		for _, p := range []float64{-1e-300, -0.5, 1 + 1e-15, 2, math.NaN(), math.Inf(1), math.Inf(-1)} {
			assert.True(t, math.IsNaN(d.Quantile(p)), "%s: quantile at %g is %g", name, p, d.Quantile(p))
			assert.True(t, math.IsNaN(d.UpperQuantile(p)), "%s: upper quantile at %g is %g", name, p, d.UpperQuantile(p))
		}
		below, above := math.Inf(-1), math.Inf(1)
		if !math.IsInf(low, 0) {
			below = low - math.Abs(low) - 1
			assert.Equal(t, math.Inf(-1), d.LogDensity(below), name)
		}
		if !math.IsInf(high, 0) {
			above = high + math.Abs(high) + 1
			assert.Equal(t, math.Inf(-1), d.LogDensity(above), name)
		}
		assert.Equal(t, []float64{0, 1, 1, 0},
			[]float64{d.CDF(below), d.Survival(below), d.CDF(above), d.Survival(above)}, name)
		assert.True(t, math.IsNaN(d.CDF(math.NaN())), name)
		assert.True(t, math.IsNaN(d.Survival(math.NaN())), name)
	}
}

// The density is the slope of the CDF, from central differences at points away
// from corners: truncation h^2 and rounding 1e-16/h both stay below 1e-6 with
// h = 1e-4 standard deviations, or of the distance to an end.
func TestDensityIsSlope(t *testing.T) {
	shapes := continuousShapes(t)
	smoothed := shapes["smoothed"].(Smoothed) // its density steps where the pieces meet
	for name, d := range shapes {
		for _, p := range []float64{0.001, 0.03, 0.21, 0.52, 0.77, 0.95, 0.999} {
			x := d.Quantile(p)
			low, high := d.Support()
			h := 1e-4 * min(d.StdDev(), x-low, high-x)
			if name == "smoothed" {
				i := smoothed.piece(x)
				x = (smoothed.values[i] + smoothed.values[i+1]) / 2
			}
			slope := (d.CDF(x+h) - d.CDF(x-h)) / (2 * h)
			fall := (d.Survival(x-h) - d.Survival(x+h)) / (2 * h)
			assert.InEpsilon(t, slope, math.Exp(d.LogDensity(x)), 1e-6, "%s at %g", name, p)
			assert.InEpsilon(t, fall, math.Exp(d.LogDensity(x)), 1e-6, "%s at %g", name, p)
		}
	}
}

// integrateQuantile is the integral of g over the distribution, by Gauss panels
// in t = -ln p from both ends: a way of its own, no shape uses it.
func integrateQuantile(d Distribution, g func(x float64) float64) float64 {
	sum := 0.0
	const panels = 200
	width := (45 - math.Ln2) / panels
	for i := range panels {
		from := math.Ln2 + float64(i)*width
		sum += quad.Fixed(func(t float64) float64 {
			p := math.Exp(-t)
			return p * (g(d.Quantile(p)) + g(d.UpperQuantile(p)))
		}, from, from+width, 8, nil, 0)
	}
	return sum
}

func TestMomentsByQuadrature(t *testing.T) {
	shapes := exampleShapes(t)
	delete(shapes, "resampled") // steps: the moments are sums, tested by themselves
	for name, d := range shapes {
		mean, sd := d.Mean(), d.StdDev()
		// Corners of a quantile function cost the panels a few 1e-6; all others
		// are at 1e-9, the error of the tables. Between the lots of the mixture
		// the quantile all but jumps; its closed moments have a test of their own.
		allowed := map[string]float64{
			"trapezoidal": 1e-6, "triangular": 1e-6, "smoothed": 1e-5, "curvilinear-trapezoid": 1e-6, "mixture": 1e-3,
		}[name]
		allowed = max(allowed, 1e-9)
		offset := integrateQuantile(d, func(x float64) float64 { return x - mean })
		variance := integrateQuantile(d, func(x float64) float64 { return (x - mean) * (x - mean) })
		assert.InDelta(t, 0, offset, allowed*sd+1e-15*math.Abs(mean), "%s: mean", name)
		assert.InDelta(t, sd, math.Sqrt(variance), allowed*sd+1e-9*ulp, "%s: sd", name)
	}
}

func TestNormalScoreThereAndBack(t *testing.T) {
	for name, d := range continuousShapes(t) {
		for _, z := range []float64{-7.5, -3, -1, -0.2, 0, 0.4, 2, 4, 7.5} {
			x := FromNormalScore(d, z)
			// A score is as uncertain as x is rounded: dz = dx density(x)/phi(z).
			rounding := quantileError(d, x) * math.Exp(d.LogDensity(x)-NormalLogDensity(z))
			if name == "truncated" {
				rounding += 4 * ulp * math.Exp(-NormalLogDensity(z)) / 0.99 // of the probabilities at the cuts
			}
			assert.InDelta(t, z, NormalScore(d, x), 1e-10+rounding, "%s at %g", name, z)
			if math.Abs(z) < 4 {
				assert.InEpsilon(t, NormalSurvival(z), d.Survival(x), 1e-8, "%s at %g", name, z)
			}
		}
	}
}

func TestTransformIsQuantile(t *testing.T) {
	u := []float64{0x1p-53, 0.001, 0.25, 0.5, 0.75, 0.999, 1 - 0x1p-53}
	for name, d := range exampleShapes(t) {
		x := make([]float64, len(u)+1)
		Transform(d, x, u)
		for i, p := range u {
			assert.Equal(t, d.Quantile(p), x[i], name)
		}
		assert.Zero(t, x[len(u)], name)
		inPlace := append([]float64(nil), u...)
		Transform(d, inPlace, inPlace)
		assert.Equal(t, x[:len(u)], inPlace, name)
		assert.Zero(t, testing.AllocsPerRun(10, func() { Transform(d, x, u) }), "%s allocates", name)
	}
	assert.Panics(t, func() { Transform(Normal{0, 1}, make([]float64, 2), u) })
}
