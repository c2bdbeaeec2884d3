package fit

import (
	"math"
	"math/rand/v2"
	"slices"

	"clampodds/dist"
)

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
