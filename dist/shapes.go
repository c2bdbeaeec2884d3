package dist

// form is one set of keys that settles a shape. build gets the values in the
// order of the keys; pNN gives two, the probability and then the value.
type form struct {
	keys  string
	build func(v []float64) (Distribution, error)
}

const percentileWildcard = "pNN"

// A shape's forms, in the order they are offered.
type shapeForms struct {
	name  string
	forms []form
}

// shapes is the one table of shapes and parametrisations; it is not modified.
var shapes = []shapeForms{
	{"fixed", []form{{"value", one(NewFixed)}}},
	{"normal", []form{
		{"mean sd", two(NewNormal)},
		{"mean cov", two(NormalFromCoefficient)},
		{"mean pNN", three(NormalFromMeanPercentile)},
		{"pNN pNN", four(NormalFromPercentiles)},
		{"nominal plus minus coverage", four(NormalFromTolerance)},
		{"nominal plus minus cp", four(NormalFromCapability)},
		{"nominal plus minus cpk", four(NormalFromNearerCapability)},
	}},
	{"lognormal", []form{
		{"median sigma_ln", two(NewLognormal)},
		{"mean sd", two(LognormalFromMoments)},
		{"mean cov", two(LognormalFromCoefficient)},
		{"median pNN", three(LognormalFromMedianPercentile)},
		{"pNN pNN", four(LognormalFromPercentiles)},
	}},
	{"uniform", []form{
		{"low high", two(NewUniform)},
		{"nominal plus minus", three(UniformFromTolerance)},
		{"mean sd", two(UniformFromMoments)},
	}},
	{"triangular", []form{
		{"low mode high", three(NewTriangular)},
		{"nominal plus minus", three(TriangularFromTolerance)},
	}},
	{"trapezoidal", []form{{"low low_mode high_mode high", four(NewTrapezoidal)}}},
	{"half-normal", []form{
		{"scale", one(NewHalfNormal)},
		{"mean", one(HalfNormalFromMean)},
		{"pNN", two(HalfNormalFromPercentile)},
	}},
	{"rayleigh", []form{
		{"scale", one(NewRayleigh)},
		{"mean", one(RayleighFromMean)},
		{"pNN", two(RayleighFromPercentile)},
	}},
	{"weibull", []form{
		{"shape scale", three(NewWeibull)},
		{"shape scale location", three(NewWeibull)},
		{"mean sd", three(WeibullFromMoments)},
		{"mean sd location", three(WeibullFromMoments)},
		{"pNN pNN", five(WeibullFromPercentiles)},
		{"pNN pNN location", five(WeibullFromPercentiles)},
	}},
	{"beta", []form{
		{"alpha beta low high", four(NewBeta)},
		{"low high mean sd", four(BetaFromMoments)},
		{"low mode high", three(BetaFromMode)},
	}},
	{"gamma", []form{
		{"shape scale", two(NewGamma)},
		{"mean sd", two(GammaFromMoments)},
		{"mean cov", two(GammaFromCoefficient)},
	}},
	{"gumbel", []form{
		{"location scale", two(NewGumbel)},
		{"mean sd", two(GumbelFromMoments)},
		{"mean cov", two(GumbelFromCoefficient)},
		{"pNN pNN", four(GumbelFromPercentiles)},
	}},
	{"student-t", []form{{"dof location scale", three(NewStudentT)}}},
	{"arcsine", []form{{"low high", two(NewArcsine)}}},
	{"curvilinear-trapezoid", []form{{"low high inexactness", three(NewCurvilinearTrapezoid)}}},
}

// The adapters call a constructor with the values in order; a value left out at
// the end (the location of a Weibull distribution) is 0.
func one[D Distribution](f func(a float64) (D, error)) func([]float64) (Distribution, error) {
	return func(v []float64) (Distribution, error) { return f(v[0]) }
}

func two[D Distribution](f func(a, b float64) (D, error)) func([]float64) (Distribution, error) {
	return func(v []float64) (Distribution, error) { return f(v[0], v[1]) }
}

func three[D Distribution](f func(a, b, c float64) (D, error)) func([]float64) (Distribution, error) {
	return func(v []float64) (Distribution, error) { v = append(v, 0); return f(v[0], v[1], v[2]) }
}

func four[D Distribution](f func(a, b, c, d float64) (D, error)) func([]float64) (Distribution, error) {
	return func(v []float64) (Distribution, error) { return f(v[0], v[1], v[2], v[3]) }
}

func five[D Distribution](f func(a, b, c, d, e float64) (D, error)) func([]float64) (Distribution, error) {
	return func(v []float64) (Distribution, error) { v = append(v, 0); return f(v[0], v[1], v[2], v[3], v[4]) }
}
