package fit

import (
	"fmt"
	"maps"
	"math"
	"sync"

	"gonum.org/v1/gonum/mathext"

	"clampodds/dist"
)

// Family names a family of distributions, by the name of the shape in dist.
type Family string

// The families.
const (
	Normal     Family = "normal"
	Lognormal  Family = "lognormal"
	Weibull    Family = "weibull" // lower end at 0
	Gamma      Family = "gamma"
	Gumbel     Family = "gumbel" // largest values
	HalfNormal Family = "half-normal"
	Rayleigh   Family = "rayleigh"
	Beta       Family = "beta" // between Data.BetaLimits
	Uniform    Family = "uniform"
)

// Families returns all of them, in the order of the documentation.
func Families() []Family {
	return []Family{Normal, Lognormal, Weibull, Gamma, Gumbel, HalfNormal, Rayleigh, Beta, Uniform}
}

// density is what the likelihood needs of a distribution, without the tables
// that make quantiles quick.
type density interface {
	LogDensity(x float64) float64
	CDF(x float64) float64
	Survival(x float64) float64
}

// model is one family as the fit sees it. Working parameters are unbounded, and
// the first one moves the whole distribution: at any value of the second one, a
// larger first one makes every exceedance more likely.
type model struct {
	family     Family
	parameters []string // natural ones, as the keys of dist.Spec
	support    Range    // of a reading
	// start returns working parameters from mean and standard deviation, and the
	// size of their standard errors for a single reading.
	start func(mean, sd float64) (working, unit []float64)
	// natural returns the natural parameters.
	natural func(working []float64) []float64
	density func(natural []float64) density
	// spread is the standard deviation or of its size.
	spread func(natural []float64) float64
	fixed  map[string]float64 // further values of the Spec
	// taken is the range of each parameter that dist takes; nil for all of it.
	// What the readings leave open about the parameters may go beyond.
	taken []Range
}

// models are those of all families but the beta, which has limits, and the uniform.
var models = map[Family]func() model{
	Normal: normalModel, Lognormal: lognormalModel, Weibull: weibullModel, Gamma: gammaModel, Gumbel: gumbelModel,
	HalfNormal: halfNormalModel, Rayleigh: rayleighModel,
}

// model returns the family's model, or an error when it cannot describe the
// sample.
func (s *Sample) model(f Family) (m model, err error) {
	if build, known := models[f]; known {
		m = build()
		return m, s.inSupport(m)
	}
	if f != Beta {
		return m, fmt.Errorf("unknown family %q, must be one of %v", f, Families())
	}
	limits := s.data.BetaLimits
	if !(limits.Low < limits.High) || math.IsInf(limits.High-limits.Low, 1) {
		return m, fmt.Errorf("beta: the limits are %g and %g, must be finite and rising", limits.Low, limits.High)
	}
	m = betaModel(limits)
	return m, s.inSupport(m)
}

// inSupport refuses readings that the family cannot give. A gauge error can take
// a reading anywhere.
func (s *Sample) inSupport(m model) error {
	if s.data.GaugeSD > 0 {
		return nil
	}
	wrong := func(x float64) error {
		return &dist.ParameterError{
			Shape: string(m.family), Parameter: "a reading", Value: x,
			Allowed: fmt.Sprintf("between %g and %g; at an end, declare the resolution or a bound", m.support.Low, m.support.High),
		}
	}
	if s.data.Resolution == 0 && len(s.exact) > 0 {
		for _, p := range []point{s.exact[0], s.exact[len(s.exact)-1]} {
			if !(p.x > m.support.Low && p.x < m.support.High) {
				return wrong(p.x)
			}
		}
	}
	for _, b := range s.bounded {
		if !(b.high > m.support.Low && b.low < m.support.High) {
			return wrong(math.Max(b.low, math.Min(b.high, 0)))
		}
	}
	return nil
}

var wholeLine, positive = Range{Low: math.Inf(-1), High: math.Inf(1)}, Range{Low: 0, High: math.Inf(1)}

// check refuses parameters that dist does not take.
func (m model) check(natural []float64) error {
	for i, r := range m.taken {
		if x := natural[i]; !(x >= r.Low && x <= r.High) {
			return &dist.ParameterError{
				Shape: string(m.family), Parameter: m.parameters[i], Value: x,
				Allowed: fmt.Sprintf("from %g to %g; the readings call for another family", r.Low, r.High),
			}
		}
	}
	return nil
}

// spec is the distribution with the given natural parameters.
func (m model) spec(natural []float64) dist.Spec {
	values := map[string]float64{}
	maps.Copy(values, m.fixed)
	for i, key := range m.parameters {
		values[key] = natural[i]
	}
	return dist.Spec{Shape: string(m.family), Values: values}
}

// lognormalModel works in the logarithm of the median and the logarithm of
// sigma.
func lognormalModel() model {
	return model{
		family: Lognormal, parameters: []string{"median", "sigma_ln"}, support: positive,
		start: func(mean, sd float64) (working, unit []float64) {
			mean = math.Max(mean, sd/10)
			sigma := math.Sqrt(math.Log1p(sd * sd / mean / mean))
			return []float64{math.Log(mean) - sigma*sigma/2, math.Log(sigma)}, []float64{sigma, math.Sqrt(0.5)}
		},
		natural: func(w []float64) []float64 { return []float64{math.Exp(w[0]), math.Exp(w[1])} },
		spread:  func(p []float64) float64 { return p[0] * p[1] },
		density: func(p []float64) density { return orNothing(dist.NewLognormal(p[0], p[1])) },
	}
}

// weibullModel works in the logarithm of the scale and the logarithm of 1/shape,
// the location and scale of the logarithm of a reading. The lower end is 0: with
// a free one the likelihood has no maximum.
func weibullModel() model {
	return model{
		family: Weibull, parameters: []string{"shape", "scale"}, support: positive,
		start: func(mean, sd float64) (working, unit []float64) {
			mean = math.Max(mean, sd/10)
			inverse := math.Pow(sd/mean, 1.086) // of the shape, near enough
			return []float64{math.Log(mean / math.Gamma(1+inverse)), math.Log(inverse)}, []float64{inverse, 0.8}
		},
		natural: func(w []float64) []float64 { return []float64{math.Exp(-w[1]), math.Exp(w[0])} },
		spread:  func(p []float64) float64 { return p[1] / p[0] },
		density: func(p []float64) density { return orNothing(dist.NewWeibull(p[0], p[1], 0)) },
	}
}

// gumbelModel works in the location and the logarithm of the scale.
func gumbelModel() model {
	return model{
		family: Gumbel, parameters: []string{"location", "scale"}, support: wholeLine,
		start: func(mean, sd float64) (working, unit []float64) {
			scale := sd * math.Sqrt(6) / math.Pi
			return []float64{mean - 0.5772*scale, math.Log(scale)}, []float64{scale, 0.8}
		},
		natural: func(w []float64) []float64 { return []float64{w[0], math.Exp(w[1])} },
		spread:  func(p []float64) float64 { return p[1] },
		density: func(p []float64) density { return orNothing(dist.NewGumbel(p[0], p[1])) },
	}
}

// halfNormalModel and rayleighModel work in the logarithm of the scale, of which the root of the
// mean square is a multiple.
func halfNormalModel() model {
	m := scaleModel(HalfNormal, 1, math.Sqrt(0.5))
	m.density = func(p []float64) density { return orNothing(dist.NewHalfNormal(p[0])) }
	return m
}

func rayleighModel() model {
	m := scaleModel(Rayleigh, math.Sqrt2, 0.5)
	m.density = func(p []float64) density { return orNothing(dist.NewRayleigh(p[0])) }
	return m
}

func scaleModel(family Family, multiple, unit float64) model {
	return model{
		family: family, parameters: []string{"scale"}, support: positive,
		start: func(mean, sd float64) (working, units []float64) {
			return []float64{math.Log(math.Hypot(mean, sd) / multiple)}, []float64{unit}
		},
		natural: func(w []float64) []float64 { return []float64{math.Exp(w[0])} },
		spread:  func(p []float64) float64 { return p[0] },
	}
}

// normalModel works in the mean and the logarithm of the standard deviation.
func normalModel() model {
	return model{
		family: Normal, parameters: []string{"mean", "sd"}, support: wholeLine,
		start: func(mean, sd float64) (working, unit []float64) {
			return []float64{mean, math.Log(sd)}, []float64{sd, math.Sqrt(0.5)}
		},
		natural: func(w []float64) []float64 { return []float64{w[0], math.Exp(w[1])} },
		spread:  func(p []float64) float64 { return p[1] },
		density: func(p []float64) density { return orNothing(dist.NewNormal(p[0], p[1])) },
	}
}

// orNothing is the density, or one that is 0 everywhere for parameters out of
// range, into which a search may stray.
func orNothing[D density](d D, err error) density {
	if err != nil {
		return nothing{}
	}
	return d
}

// nothing is the density of parameters that no distribution has: no reading is
// possible under them.
type nothing struct{}

func (nothing) LogDensity(float64) float64 { return math.Inf(-1) }
func (nothing) CDF(float64) float64        { return 0 }
func (nothing) Survival(float64) float64   { return 0 }

// studentQuantile returns the t that Student's t with dof degrees of freedom
// exceeds with probability tail < 1/2.
func studentQuantile(tail, dof float64) float64 {
	// t^2/(dof + t^2) is beta distributed (Abramowitz and Stegun 26.7.1).
	b := mathext.InvRegIncBeta(0.5, dof/2, 1-2*tail)
	return math.Sqrt(dof * b / (1 - b))
}

// chiSquareRoots returns the square roots of dof/chi2 at both ends of an
// interval for the true standard deviation: s times these.
func chiSquareRoots(dof, level float64) (low, high float64) {
	tail := (1 - level) / 2
	low = math.Sqrt(dof / 2 / mathext.GammaIncRegCompInv(dof/2, tail))
	high = math.Sqrt(dof / 2 / mathext.GammaIncRegInv(dof/2, tail))
	return low, high
}

// normalIntervals are the textbook intervals: mean -+ t s/sqrt(n) and
// s sqrt((n-1)/chi2).
func normalIntervals(n, mean, s, level float64) (ofMean, ofSD Range) {
	half := studentQuantile((1-level)/2, n-1) * s / math.Sqrt(n)
	low, high := chiSquareRoots(n-1, level)
	return Range{Low: mean - half, High: mean + half}, Range{Low: s * low, High: s * high}
}

// HeavyFreedom are the degrees of freedom of the Student's t that stands for tails heavier than those of all families.
const HeavyFreedom = 5

// heavyUnit is read only; its table is built where it is first needed.
var heavyUnit = sync.OnceValue(func() dist.Distribution {
	t, err := dist.NewStudentT(HeavyFreedom, 0, 1)
	if err != nil {
		panic(err) // the degrees of freedom are taken
	}
	return t
})

// heavy is heavyUnit moved and stretched.
type heavy struct{ location, scale float64 }

func (h heavy) unit(x float64) float64     { return (x - h.location) / h.scale }
func (h heavy) CDF(x float64) float64      { return heavyUnit().CDF(h.unit(x)) }
func (h heavy) Survival(x float64) float64 { return heavyUnit().Survival(h.unit(x)) }
func (h heavy) LogDensity(x float64) float64 {
	return heavyUnit().LogDensity(h.unit(x)) - math.Log(h.scale)
}

// heavyModel works as the normal one does.
func heavyModel() model {
	m := normalModel()
	m.family, m.parameters = "student-t", []string{"location", "scale"}
	m.density = func(p []float64) density { return heavy{p[0], p[1]} }
	return m
}

// HeavyTail is Exceedance as if the tails were as heavy as those of Student's t with HeavyFreedom degrees of freedom, its location
// and scale fitted. Few readings seldom rule that out, and more than anything else it moves what lies far beyond them.
func (s *Sample) HeavyTail(limit float64, above bool, level float64) (Exceedance, error) {
	f, err := s.fitModel(heavyModel(), Options{Level: level})
	if err != nil {
		return Exceedance{}, err
	}
	return f.Exceedance(limit, above, level)
}
