package fit

import (
	"math"
	"slices"

	"clampodds/dist"
)

// Open is a normal, lognormal, half-normal or Rayleigh shape of which a number of readings gives the
// parameters and leaves the rest open. It takes a value drawn as if the parameters
// were known and moves it to what it is under others, so that draws which share the
// unknown parameters go together. Averaged over Mean and Spread a value has the
// distribution of WithReadings; with cuts, that of inspected parts whatever the
// parameters are.
//
// An Open is immutable and safe for concurrent use.
type Open struct {
	logarithm       bool    // of the value less shift, which is then what is normal
	location, scale float64 // of what is normal
	shift           float64
	kept            Range
	readings        float64
	// ofScale is a half-normal or Rayleigh shape, which has a scale alone: of the value less shift over scale. Its freedom is that of
	// the sum of its squares.
	ofScale dist.Distribution
	freedom float64
}

// MostOpenReadings is where nothing worth a variable of its own is left open.
const MostOpenReadings = 20_000

// NewOpen returns what readings leave open of a shape, with the distribution as if
// they left nothing open; ok is false where only WithReadings can say it: shapes
// other than those, and very many readings. Errors are those of WithReadings.
func NewOpen(s dist.Spec, readings int) (o Open, known dist.Distribution, ok bool, err error) {
	if _, err := WithReadings(s, readings); err != nil {
		return Open{}, nil, false, err
	}
	family := Family(s.Shape)
	if readings > MostOpenReadings || !slices.Contains([]Family{Normal, Lognormal, HalfNormal, Rayleigh}, family) {
		return Open{}, nil, false, nil
	}
	uncut, kept := withoutCuts(s)
	d, err := dist.FromSpec(uncut)
	if err != nil {
		return Open{}, nil, false, err
	}
	if known, err = dist.NewTruncated(d, kept.Low, kept.High); err != nil {
		return Open{}, nil, false, err
	}
	o = Open{logarithm: family == Lognormal, kept: kept, readings: float64(readings), freedom: float64(readings - 1)}
	switch family {
	case HalfNormal:
		o.ofScale, o.scale, o.freedom = d, 1, float64(readings)
		return o, known, true, nil
	case Rayleigh:
		o.ofScale, o.scale, o.freedom = d, 1, float64(2*readings)
		return o, known, true, nil
	}
	middle, above := d.Quantile(0.5), d.UpperQuantile(dist.NormalSurvival(1))
	o.location = o.normal(middle)
	o.scale = o.normal(above) - o.location
	return o, known, true, nil
}

// OnlySpread says that the shape has a scale alone: there is no Mean then, and Spread is that of the scale.
func (o Open) OnlySpread() bool { return o.ofScale != nil }

// Mean is the distribution of the true mean, of the logarithm for the lognormal
// shape, less that of the readings, in true standard deviations: normal, 1/sqrt n.
func (o Open) Mean() (dist.Distribution, error) { return dist.NewNormal(0, 1/math.Sqrt(o.readings)) }

// Spread is the distribution of the true standard deviation over that of the
// readings: the root of f/chi2 with f degrees of freedom, n-1, and of a scale alone that of the squares of the
// readings: n of a half-normal, 2n of a Rayleigh shape.
func (o Open) Spread() (dist.Distribution, error) {
	g, err := dist.NewGamma(o.freedom/2, 2/o.freedom)
	return spreadRatio{g, o.freedom}, err
}

// Freedom are the degrees of freedom of Spread.
func (o Open) Freedom() int { return int(o.freedom) }

// Given is the value under a mean and a spread, as Mean and Spread have them, that
// as if the parameters were known is x. It rises with x and leaves the cuts as they
// are.
func (o Open) Given(x, mean, spread float64) float64 {
	inside := math.Min(math.Max(x, o.kept.Low), o.kept.High)
	if o.OnlySpread() {
		return o.stretched(inside, spread) + x - inside
	}
	z := o.score(inside)
	if o.kept != wholeLine {
		low, high := o.score(o.kept.Low), o.score(o.kept.High)
		z = sameShare(z, low, high, low/spread-mean, high/spread-mean)
	}
	return o.value(o.location+o.scale*spread*(z+mean)) + x - inside
}

// stretched is Given of a scale alone: the value is in proportion to it, or between cuts has the share of the
// probability below it that it had.
func (o Open) stretched(x, spread float64) float64 {
	y := (x - o.shift) / o.scale
	if o.kept == wholeLine {
		return o.shift + o.scale*spread*y
	}
	low, high := (o.kept.Low-o.shift)/o.scale, (o.kept.High-o.shift)/o.scale
	share := func(below func(float64) float64, from, to float64) float64 {
		part := (below(y) - below(from)) / (below(to) - below(from))
		return below(from/spread) + part*(below(to/spread)-below(from/spread))
	}
	d := o.ofScale
	if d.CDF(y) < 0.5 {
		y = d.Quantile(share(d.CDF, low, high))
	} else { // the upper tail is the accurate one
		y = d.UpperQuantile(share(d.Survival, high, low))
	}
	return math.Min(math.Max(o.shift+o.scale*spread*y, o.kept.Low), o.kept.High)
}

// Moved is Open for values times factor > 0 plus shift.
func (o Open) Moved(factor, shift float64) Open {
	switch {
	case o.OnlySpread():
		o.scale, o.shift = factor*o.scale, factor*o.shift+shift
	case o.logarithm:
		o.location += math.Log(factor)
		o.shift = factor*o.shift + shift
	default:
		o.location, o.scale = factor*o.location+shift, factor*o.scale
	}
	o.kept.Low, o.kept.High = factor*o.kept.Low+shift, factor*o.kept.High+shift
	return o
}

// normal is what is normal of a value, value the reverse.
func (o Open) normal(x float64) float64 {
	if o.logarithm {
		return math.Log(math.Max(x-o.shift, 0))
	}
	return x
}

func (o Open) value(y float64) float64 {
	if o.logarithm {
		return math.Exp(y) + o.shift
	}
	return y
}

func (o Open) score(x float64) float64 { return (o.normal(x) - o.location) / o.scale }

// sameShare is the normal score that has the share of the probability between the
// scores a and b below it that z has between low and high.
func sameShare(z, low, high, a, b float64) float64 {
	if z > 0 { // the lower tail is the accurate one
		return -sameShare(-z, -high, -low, -b, -a)
	}
	below := (dist.NormalCDF(z) - dist.NormalCDF(low)) / (dist.NormalCDF(high) - dist.NormalCDF(low))
	p := dist.NormalCDF(a) + below*(dist.NormalCDF(b)-dist.NormalCDF(a))
	return math.Min(math.Max(dist.NormalQuantile(p), a), b)
}

// spreadRatio is the root of 1/g, g gamma distributed with mean 1.
type spreadRatio struct {
	inverse dist.Gamma
	freedom float64
}

// Quantile and UpperQuantile change places: the root of 1/g falls with g.
func (s spreadRatio) Quantile(p float64) float64 { return 1 / math.Sqrt(s.inverse.UpperQuantile(p)) }

func (s spreadRatio) UpperQuantile(q float64) float64 {
	return 1 / math.Sqrt(s.inverse.Quantile(q))
}

// CDF is that of g at 1/x², seen from above; 0 for x <= 0.
func (s spreadRatio) CDF(x float64) float64 {
	if !(x > 0) {
		return 0
	}
	return s.inverse.Survival(1 / (x * x))
}

// Survival is the CDF of g at 1/x²; 1 for x <= 0.
func (s spreadRatio) Survival(x float64) float64 {
	if !(x > 0) {
		return 1
	}
	return s.inverse.CDF(1 / (x * x))
}

// LogDensity has |dg/dx| = 2/x^3.
func (s spreadRatio) LogDensity(x float64) float64 {
	if !(x > 0) || math.IsInf(x, 1) {
		return math.Inf(-1)
	}
	return s.inverse.LogDensity(1/(x*x)) + math.Ln2 - 3*math.Log(x)
}

// Mean is sqrt(f/2) Γ((f-1)/2)/Γ(f/2) for f degrees of freedom.
func (s spreadRatio) Mean() float64 {
	above, _ := math.Lgamma((s.freedom - 1) / 2)
	below, _ := math.Lgamma(s.freedom / 2)
	return math.Sqrt(s.freedom/2) * math.Exp(above-below)
}

// StdDev follows from the mean square f/(f-2); infinite for 2 degrees of freedom.
func (s spreadRatio) StdDev() float64 {
	if s.freedom <= 2 {
		return math.Inf(1)
	}
	return math.Sqrt(s.freedom/(s.freedom-2) - s.Mean()*s.Mean())
}

func (s spreadRatio) Support() (low, high float64) { return 0, math.Inf(1) }
