package fit

import (
	"math"
	"math/rand/v2"
	"slices"

	"clampodds/dist"
)

// AndersonDarling is the goodness-of-fit test of a family with estimated
// parameters. Its printed values differ between conventions, so Method names
// the one used.
type AndersonDarling struct {
	// A2 is -n - (1/n) sum (2i-1) [ln F(x_i) + ln(1 - F(x_(n+1-i)))]; NaN where
	// the readings have no test.
	A2 float64 `json:"anderson_darling"`
	// Adjusted is A2 with the correction for n that belongs to the critical
	// values, A2 itself without one.
	Adjusted float64 `json:"anderson_darling_adjusted"`
	// P is the probability of a larger value if the family is right. Of tabulated
	// values 0.25 stands for 0.25 or more.
	P      float64 `json:"p"`
	Method string  `json:"test"`
}

// andersonDarling tests a fit. Tabulated values hold for complete readings in no coarse steps; of those in coarse ones they are
// exceeded less often than they say, and stand in where no bootstrap was asked for.
func (s *Sample) andersonDarling(f *Fit, m model, o Options) AndersonDarling {
	if s.boundsOnly() {
		return untested("some readings are only bounds; look at the probability plot")
	}
	a := AndersonDarling{A2: s.readingsTest(m, values(f.Parameters))}
	tabulated := s.complete() && (s.step <= fine*s.sd || o.Replicates == 0)
	switch {
	case tabulated && (f.Family == Normal || f.Family == Lognormal):
		return normalTest(a, s.n)
	case tabulated && (f.Family == Weibull || f.Family == Gumbel):
		return extremeValueTest(a, s.n)
	case o.Replicates > 0:
		return s.bootstrap(a, f, m, o)
	}
	return untested("it needs a bootstrap, which was not asked for")
}

func untested(why string) AndersonDarling {
	return AndersonDarling{A2: math.NaN(), Adjusted: math.NaN(), P: math.NaN(), Method: why}
}

// boundsOnly reports whether some readings are known on one side only.
func (s *Sample) boundsOnly() bool {
	return slices.ContainsFunc(s.bounded, func(b interval) bool { return math.IsInf(b.low, 0) || math.IsInf(b.high, 0) })
}

// readingsTest is A2 of the readings, with the gauge error and inspection that
// they have.
func (s *Sample) readingsTest(m model, natural []float64) float64 {
	return s.anderson(cutTo(m.blur(natural, s.data.GaugeSD), s.data.Kept))
}

// anderson is A2 of the readings under the density of a reading. Equal readings
// share their logarithms: over the ranks a+1..b the weights 2i-1 add up to
// b^2 - a^2, and those of the survival to (n-a)^2 - (n-b)^2. Those that rounding has
// made equal are put apart first: as they stand they add 0.04 n step^2 to it.
func (s *Sample) anderson(d density) float64 {
	sum, before := 0.0, 0.0
	s.spread(d, func(below, above, count float64) {
		after := before + count
		sum += (after*after - before*before) * math.Log(below)
		sum += ((s.n-before)*(s.n-before) - (s.n-after)*(s.n-after)) * math.Log(above)
		before = after
	})
	return -s.n - sum/s.n
}

// normalTest: Stephens in D'Agostino and Stephens, Goodness-of-Fit Techniques,
// 1986, tables 4.7 and 4.9 (mean and standard deviation estimated, n-1).
func normalTest(a AndersonDarling, n float64) AndersonDarling {
	a.Adjusted = a.A2 * (1 + 0.75/n + 2.25/(n*n))
	a.Method = "normal, both parameters estimated (Stephens 1986)"
	switch x := a.Adjusted; {
	case x < 0.2:
		a.P = -math.Expm1(-13.436 + 101.14*x - 223.73*x*x)
	case x < 0.34:
		a.P = -math.Expm1(-8.318 + 42.796*x - 59.938*x*x)
	case x < 0.6:
		a.P = math.Exp(0.9177 - 4.279*x - 1.38*x*x)
	case x < 13: // where the parabola turns up again
		a.P = math.Exp(1.2937 - 5.709*x + 0.0186*x*x)
	default:
		a.P = 0
	}
	return a
}

// extremeValueTest: Stephens, Biometrika 64 (1977) 583: 25, 10, 5, 2.5 and 1 %
// at 0.474, 0.637, 0.757, 0.877 and 1.038. Between and beyond them ln p is
// taken as linear, which it is to 2 %.
func extremeValueTest(a AndersonDarling, n float64) AndersonDarling {
	a.Adjusted = a.A2 * (1 + 0.2/math.Sqrt(n))
	a.Method = "extreme value, both parameters estimated (Stephens 1977)"
	values := []float64{0.474, 0.637, 0.757, 0.877, 1.038}
	levels := []float64{0.25, 0.10, 0.05, 0.025, 0.01}
	if !(a.Adjusted > values[0]) {
		a.P = levels[0]
		return a
	}
	i := 0
	for i < len(values)-2 && a.Adjusted > values[i+1] {
		i++
	}
	slope := math.Log(levels[i+1]/levels[i]) / (values[i+1] - values[i])
	a.P = levels[i] * math.Exp(slope*(a.Adjusted-values[i]))
	return a
}

// uniformTest: given the smallest and the largest, the readings between them are
// uniform, with nothing left to estimate. Rounded ones lie half a step and more inside.
func (s *Sample) uniformTest(low, high float64) AndersonDarling {
	inner := Sample{n: s.n, step: s.step, sd: s.sd}
	for _, p := range s.ranked {
		if p.x > low && p.x < high {
			inner.ranked = append(inner.ranked, p)
		} else {
			inner.n -= p.count
		}
	}
	between, err := dist.NewUniform(low+s.step/2, high-s.step/2)
	if inner.n == 0 || err != nil {
		return untested("there are no readings between the extremes")
	}
	a := AndersonDarling{A2: inner.anderson(between), Method: "uniform between the extremes, nothing estimated (Marsaglia and Marsaglia 2004)"}
	a.Adjusted, a.P = a.A2, 1-andersonLimit(a.A2)
	return a
}

// andersonLimit is the limiting distribution of A2 for a known distribution:
// Marsaglia and Marsaglia, J. Stat. Software 9 (2004) 2, to 2e-6.
func andersonLimit(z float64) float64 {
	switch {
	case z <= 0:
		return 0
	case z < 2:
		return math.Exp(-1.2337141/z) / math.Sqrt(z) *
			(2.00012 + (.247105-(.0649821-(.0347962-(.011672-.00168691*z)*z)*z)*z)*z)
	}
	return math.Exp(-math.Exp(1.0776 - (2.30695-(.43424-(.082433-(.008056-.0003146*z)*z)*z)*z)*z))
}

// bootstrapSize is the most readings a replicate has: beyond, the distribution
// of the statistic no longer depends on their number.
const bootstrapSize = 200

// The bootstrap ends as soon as it can tell: enough replicates have a larger A2 (Besag
// and Clifford, Biometrika 78 (1991) 301), or so many have none that P is below 0.005.
const (
	enoughLarger = 20
	noneLarger   = 199
)

// bootstrap finds the significance of A2 by fitting the family again to samples
// drawn from the fit and treated as the readings were: given the gauge error,
// inspected and rounded. P is (1 + number not smaller)/(1 + replicates), or the number
// not smaller over the replicates where that number ended it.
func (s *Sample) bootstrap(a AndersonDarling, f *Fit, m model, o Options) AndersonDarling {
	random := rand.New(rand.NewPCG(o.Seed, 0x616e646572736f6e)) // a stream of its own
	d := dist.Must(dist.FromSpec(m.spec(values(f.Parameters)))) // the maximum of the likelihood is a proper distribution
	larger, drawn := 0, 0
	a.Adjusted, a.Method = a.A2, "parametric bootstrap"
	for attempts := 0; drawn < o.Replicates && attempts < 2*o.Replicates; attempts++ {
		a2, ok := s.replicate(d, m, random)
		if !ok {
			continue
		}
		drawn++
		if a2 >= a.A2 {
			larger++
		}
		if larger == enoughLarger {
			a.P = float64(larger) / float64(drawn)
			return a
		}
		if larger == 0 && drawn == noneLarger {
			break
		}
	}
	if drawn < min(o.Replicates, noneLarger) {
		a.P, a.Method = math.NaN(), "the family cannot be fitted to its own samples"
		return a
	}
	a.P = float64(1+larger) / float64(1+drawn)
	return a
}

func values(parameters []Parameter) []float64 {
	x := make([]float64, len(parameters))
	for i, p := range parameters {
		x[i] = p.Value
	}
	return x
}

// replicate draws one sample from the fit, fits it and returns its A2.
func (s *Sample) replicate(d dist.Distribution, m model, random *rand.Rand) (a2 float64, ok bool) {
	data := s.data
	if data.Values, ok = s.drawnLike(d, int(math.Min(s.n, bootstrapSize)), random); !ok {
		return 0, false
	}
	replicate, err := NewSample(data)
	if err != nil {
		return 0, false
	}
	best, err := replicate.nearMaximum(m)
	if err != nil {
		return 0, false
	}
	return replicate.readingsTest(m, m.natural(best.working(best.best))), true
}

// drawnLike draws n readings of true values from d as the sample's were taken: with the
// gauge's error, inspected and rounded, not all equal. It fails where inspection
// keeps hardly any.
func (s *Sample) drawnLike(d dist.Distribution, n int, random *rand.Rand) ([]float64, bool) {
	drawn := make([]float64, 0, n)
	for attempts := 0; len(drawn) < n; attempts++ {
		if attempts > 1000*n {
			return nil, false
		}
		x := d.Quantile(inside(random)) + s.data.GaugeSD*random.NormFloat64()
		if kept := s.data.Kept; given(kept) && !(x >= kept.Low && x <= kept.High) {
			continue
		}
		if s.step > 0 {
			// on the grid of the readings, which need not contain 0
			x = s.sorted[0] + math.Round((x-s.sorted[0])/s.step)*s.step
		}
		drawn = append(drawn, x)
		if len(drawn) == n && slices.Min(drawn) == slices.Max(drawn) {
			drawn = drawn[:0]
		}
	}
	return drawn, true
}

// inside is uniform between 0 and 1, never one of them.
func inside(random *rand.Rand) float64 { return (float64(random.Uint64()>>12) + 0.5) / (1 << 52) }
