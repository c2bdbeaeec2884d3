package fit

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"clampodds/dist"
	"clampodds/sim/result"
)

// Options settle how a fit is made.
type Options struct {
	// Level of the intervals, in (0, 1).
	Level float64
	// Replicates of the bootstrap for families and readings without tabulated
	// critical values; 0 leaves those untested. 999 is usual.
	Replicates int
	// Seed of the bootstrap; any value, 0 included.
	Seed uint64
}

// Parameter is one fitted parameter, in SI units where it has a unit.
type Parameter struct {
	Key   string  `json:"key"` // as in dist.Spec
	Value float64 `json:"value"`
	SE    float64 `json:"standard_error"` // from the observed information
	result.Interval
}

// Fit is one family fitted to a sample by maximum likelihood. It is immutable
// and safe for concurrent use.
//
// The normal family's sd and the lognormal family's sigma_ln of complete
// readings are those with n-1 in the denominator, as everyone computes them; the
// log-likelihood is that at its maximum (n in the denominator). All other
// parameters are those of the maximum.
type Fit struct {
	Family        Family      `json:"family"`
	N             int         `json:"-"`
	Parameters    []Parameter `json:"parameters"` // intervals at the level asked for
	LogLikelihood float64     `json:"log_likelihood"`
	// AIC is 2k - 2 LogLikelihood, k the number of parameters; AICc adds
	// 2k(k+1)/(n-k-1) for few readings (Burnham and Anderson, Model Selection,
	// 2002), +Inf for n <= k+1.
	AIC  float64 `json:"-"`
	AICc float64 `json:"aicc"`
	AndersonDarling
	Warnings []Warning `json:"warnings,omitempty"`

	sample    *Sample
	kept      Range
	fixed     map[string]float64 // further values of the Spec
	curve     density            // of the true values, uncut
	uncertain uncertainty
}

// uncertainty is what the readings leave open about the parameters.
type uncertainty interface {
	// predictive is the distribution of the next true value.
	predictive() (dist.Distribution, error)
	// beyond is the predictive P(X > limit), or P(X < limit).
	beyond(limit float64, above bool) float64
	// upper bounds P(X > limit), or P(X < limit), at a confidence level.
	upper(limit float64, above bool, level float64) float64
}

// manyReadings is where the logarithm of the likelihood counts as a parabola.
const manyReadings = 1000

// Fit fits one family.
func (s *Sample) Fit(family Family, o Options) (*Fit, error) {
	if err := checkLevel(o.Level); err != nil {
		return nil, err
	}
	if family == Uniform {
		return s.fitUniform(o)
	}
	m, err := s.model(family)
	if err != nil {
		return nil, err
	}
	return s.fitModel(m, o)
}

func (s *Sample) fitModel(m model, o Options) (*Fit, error) {
	best, err := s.maximumOf(m)
	if err != nil {
		return nil, err
	}
	family := m.family
	f := &Fit{Family: family, N: s.N(), sample: s, kept: s.data.Kept, fixed: m.fixed}
	f.setLogLikelihood(best.value, len(m.parameters))
	post, err := s.open(best)
	if err != nil {
		return nil, err
	}
	f.uncertain = &gridUncertainty{model: m, posterior: post, kept: s.data.Kept, centre: s.mean}
	natural := m.natural(best.working(best.best))
	if err := m.check(natural); err != nil {
		return nil, err
	}
	for i, se := range best.standardErrors() {
		f.Parameters = append(f.Parameters, Parameter{m.parameters[i], natural[i], se, post.interval(m, i, o.Level)})
	}
	if !post.bounded {
		f.Warnings = append(f.Warnings, warn(Unbounded, "%s: the readings do not bound the parameters: intervals are infinite", family))
	}
	if s.complete() && (family == Normal || family == Lognormal) {
		f.unbias(s, o.Level)
	}
	f.curve = m.density(values(f.Parameters))
	f.AndersonDarling = s.andersonDarling(f, m, o)
	f.Warnings = append(f.Warnings, s.warnings(f)...)
	return f, nil
}

func (f *Fit) setLogLikelihood(value float64, k int) {
	f.LogLikelihood = value
	n, p := float64(f.N), float64(k)
	f.AIC = 2*p - 2*value
	f.AICc = math.Inf(1)
	if n > p+1 {
		f.AICc = f.AIC + 2*p*(p+1)/(n-p-1)
	}
}

// posterior is the likelihood as a weight, on a grid.
func (o *optimum) posterior(n, gauge float64) *posterior {
	if n > manyReadings {
		return newPosterior(o, o.quadratic)
	}
	m := o.model
	atBest := m.logPrior(m.natural(o.working(o.best)), gauge)
	return newPosterior(o, func(u []float64) float64 {
		working := o.working(u)
		return o.logL(working) + m.logPrior(m.natural(working), gauge) - atBest
	})
}

// interval is the central interval of natural parameter i.
func (p *posterior) interval(m model, i int, level float64) Range {
	if !p.bounded {
		return Range{Low: math.Inf(-1), High: math.Inf(1)}
	}
	value := func(working []float64) float64 { return m.natural(working)[i] }
	tail := (1 - level) / 2
	ends := p.quantiles(value, tail, 1-tail)
	return Range{Low: ends[0], High: ends[1]}
}

// unbias replaces the parameters of a normal fit, of the readings or of their
// logarithms, by the textbook's with their exact intervals.
func (f *Fit) unbias(s *Sample, level float64) {
	mean, sd := s.moments(f.Family == Lognormal)
	ofMean, ofSD := normalIntervals(s.n, mean, sd, level)
	f.Parameters[1].SE *= math.Sqrt(s.n / (s.n - 1))
	f.Parameters[1].Value, f.Parameters[1].Interval = sd, ofSD
	if f.Family == Lognormal {
		mean, ofMean = math.Exp(mean), Range{Low: math.Exp(ofMean.Low), High: math.Exp(ofMean.High)}
	} else {
		f.uncertain = studentUncertainty{f.uncertain, s.n, mean, sd}
	}
	f.Parameters[0].Value, f.Parameters[0].Interval = mean, ofMean
}

// moments of the exact readings or of their logarithms.
func (s *Sample) moments(ofLogarithms bool) (mean, sd float64) {
	if !ofLogarithms {
		return s.mean, s.sd
	}
	var logarithms, counts []float64
	for _, p := range s.exact {
		logarithms, counts = append(logarithms, math.Log(p.x)), append(counts, p.count)
	}
	return stat.MeanStdDev(logarithms, counts)
}

// Distribution returns the fitted distribution of the true values as if its
// parameters were known exactly, cut to the range of parts that inspection
// keeps.
func (f *Fit) Distribution() dist.Distribution {
	return dist.Must(dist.FromSpec(f.Entry().Spec())) // the readings are inside the family and the range
}

// Predictive returns the distribution of the next true value: the fitted family
// averaged over what the readings leave open about its parameters. For complete
// normal readings it is Student's t. It fails where the readings do not bound
// the parameters.
func (f *Fit) Predictive() (dist.Distribution, error) { return f.uncertain.predictive() }

// warnings that a fit needs, from the readings and the test.
func (s *Sample) warnings(f *Fit) []Warning {
	var w []Warning
	if s.n < 20 {
		w = append(w, warn(FewReadings, "%d readings cannot tell families apart nor show a tail: rely on the bound, not on the fitted curve", f.N))
	}
	if share := s.data.GaugeSD * s.data.GaugeSD / (s.sd * s.sd); share > 0.5 {
		w = append(w, warn(GaugeDominates, "the gauge makes %.0f %% of the variance of the readings: the parts' own spread is hardly measured", 100*share))
	}
	switch a := f.AndersonDarling; {
	case math.IsNaN(a.P):
		w = append(w, warn(FitNotTested, "%s: goodness of fit not tested: %s", f.Family, a.Method))
	case a.P < 0.05:
		w = append(w, warn(Rejected, "%s: the readings speak against it (Anderson-Darling, p = %.2g)", f.Family, a.P))
	}
	return w
}
