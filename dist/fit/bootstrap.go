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

// bootstrap finds the significance of A2 by fitting the family again to samples
// drawn from the fit and treated as the readings were: given the gauge error,
// inspected and rounded. P is (1 + number not smaller)/(1 + replicates).
func (s *Sample) bootstrap(a AndersonDarling, f *Fit, m model, o Options) AndersonDarling {
	random := rand.New(rand.NewPCG(o.Seed, 0x616e646572736f6e)) // a stream of its own
	d, err := dist.FromSpec(m.spec(values(f.Parameters)))
	if err != nil {
		panic(err) // the maximum of the likelihood is a proper distribution
	}
	var simulated []float64
	for attempts := 0; len(simulated) < o.Replicates && attempts < 2*o.Replicates; attempts++ {
		if a2, ok := s.replicate(d, m, random); ok {
			simulated = append(simulated, a2)
		}
	}
	a.Adjusted, a.Critical, a.P, a.Method = a.A2, math.NaN(), math.NaN(), "the family cannot be fitted to its own samples"
	if len(simulated) == o.Replicates {
		slices.Sort(simulated)
		smaller, _ := slices.BinarySearch(simulated, a.A2)
		a.P = float64(1+len(simulated)-smaller) / float64(1+len(simulated))
		a.Critical, a.Method = quantileOf(simulated, 0.95), "parametric bootstrap"
	}
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
	data.Values = nil
	n := int(math.Min(s.n, bootstrapSize))
	for attempts := 0; len(data.Values) < n; attempts++ {
		if attempts > 1000*n {
			return 0, false
		}
		u := (float64(random.Uint64()>>12) + 0.5) / (1 << 52) // never 0 or 1
		x := d.Quantile(u) + data.GaugeSD*random.NormFloat64()
		if data.Kept.given() && !(x >= data.Kept.Low && x <= data.Kept.High) {
			continue
		}
		if data.Resolution > 0 {
			x = math.Round(x/data.Resolution) * data.Resolution
		}
		data.Values = append(data.Values, x)
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
