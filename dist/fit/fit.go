// Package fit turns measured readings into distributions, and says how far the
// readings carry.
//
// NewSample takes the readings with what is known of them: those below or above
// what the gauge shows, its resolution, its own error, the inspection limits
// outside which parts never reached the bench. Sample.Fit fits one family by
// maximum likelihood, Sample.Compare several; none of them drops a reading.
//
// A fit of few readings is uncertain, and its tails most of all. Distribution is
// the fitted curve as if it were true; Predictive carries the uncertainty of the
// parameters, so that its tail probability is that of the next part; Exceedance
// puts both beside an upper bound. A tail of 1e-7 cannot be read off 12 readings:
// the bound says so.
//
// Parameter uncertainty comes from the likelihood itself, averaged with a flat
// weight over the parameters named at each family (location and logarithm of the
// scale, in the logarithm of the reading where the family calls for it). For the
// normal case that is exactly Student's t; for the lognormal, Weibull, Gumbel,
// half-normal, Rayleigh and uniform families the intervals have the stated
// coverage whatever the number of complete readings; for the gamma and the beta
// family nearly so.
//
// Everything is in SI units, or whatever single unit the readings are in.
package fit

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"sync"

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
		f.Warnings = append(f.Warnings, result.Warn(Unbounded, "%s: the readings do not bound the parameters: intervals are infinite", family))
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
		w = append(w, result.Warn(FewReadings, "%d readings cannot tell families apart nor show a tail: rely on the bound, not on the fitted curve", f.N))
	}
	if share := s.data.GaugeSD * s.data.GaugeSD / (s.sd * s.sd); share > 0.5 {
		w = append(w, result.Warn(GaugeDominates, "the gauge makes %.0f %% of the variance of the readings: the parts' own spread is hardly measured", 100*share))
	}
	switch a := f.AndersonDarling; {
	case math.IsNaN(a.P):
		w = append(w, result.Warn(FitNotTested, "%s: goodness of fit not tested: %s", f.Family, a.Method))
	case a.P < 0.05:
		w = append(w, result.Warn(Rejected, "%s: the readings speak against it (Anderson-Darling, p = %.2g)", f.Family, a.P))
	}
	return w
}

// Comparison is several families fitted to one sample.
type Comparison struct {
	// Fits are those not rejected before those rejected, each by rising AICc.
	Fits    []*Fit
	Refused []Refusal
}

// Refusal says why a family could not be fitted.
type Refusal struct {
	Family Family
	Err    error
}

// Compare fits the families and ranks them: AICc ranks, the goodness-of-fit test
// has a veto. A place means little where AICc differs by less than 2; fits then
// carry the warning NotDistinguishable.
func (s *Sample) Compare(families []Family, o Options) (Comparison, error) {
	if err := checkLevel(o.Level); err != nil {
		return Comparison{}, err
	}
	fits, errs := make([]*Fit, len(families)), make([]error, len(families))
	var all sync.WaitGroup
	for i, family := range families {
		all.Go(func() { fits[i], errs[i] = s.Fit(family, o) })
	}
	all.Wait()
	var c Comparison
	for i, family := range families {
		if errs[i] != nil {
			c.Refused = append(c.Refused, Refusal{family, errs[i]})
			continue
		}
		c.Fits = append(c.Fits, fits[i])
	}
	slices.SortStableFunc(c.Fits, better)
	for _, f := range c.Fits {
		f.warnOfOthers(c.Fits)
	}
	return c, nil
}

func (f *Fit) warnOfOthers(all []*Fit) {
	var others []string
	for _, g := range all {
		if g != f && rank(g) == rank(f) && !(math.Abs(difference(f, g)) >= 2) {
			others = append(others, string(g.Family))
		}
	}
	if len(others) > 0 {
		f.Warnings = append(f.Warnings, result.Warn(NotDistinguishable,
			"about as likely as %s (AICc within 2): %s", f.Family, strings.Join(others, ", ")))
	}
}

func better(a, b *Fit) int {
	return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a.AICc, b.AICc), cmp.Compare(a.AIC, b.AIC))
}

// difference of AICc, of AIC where there are too few readings for it.
func difference(a, b *Fit) float64 {
	if d := a.AICc - b.AICc; !math.IsNaN(d) {
		return d
	}
	return a.AIC - b.AIC
}

func rank(f *Fit) int {
	if f.AndersonDarling.P < 0.05 {
		return 1
	}
	return 0
}

// The codes of warnings.
const (
	// FewReadings: too few readings to tell families apart or to see a tail.
	FewReadings result.WarningCode = "few-readings"
	// NotDistinguishable: another family describes the readings about as well.
	NotDistinguishable result.WarningCode = "not-distinguishable"
	// Rejected: the goodness-of-fit test speaks against the family.
	Rejected result.WarningCode = "rejected"
	// FitNotTested: there is no goodness-of-fit test for these readings.
	FitNotTested result.WarningCode = "fit-not-tested"
	// CoarseResolution: the readings come in steps that are not small beside
	// their spread, and no resolution was declared.
	CoarseResolution result.WarningCode = "coarse-resolution"
	// GaugeDominates: the gauge's own error makes most of the spread.
	GaugeDominates result.WarningCode = "gauge-dominates"
	// EndsAtReadings: the only family not rejected is the uniform one, which has no tails.
	EndsAtReadings result.WarningCode = "ends-at-readings"
	// PilesUp: readings pile up at an end, as where a gauge shows no more.
	PilesUp result.WarningCode = "piles-up"
	// Repeats: a block of readings stands twice in the column.
	Repeats result.WarningCode = "repeats"
	// Unbounded: the readings do not bound the parameters; intervals are infinite.
	Unbounded result.WarningCode = "unbounded"
	// NotNormal: an index that presupposes normal readings is given for others.
	NotNormal result.WarningCode = "not-normal"
	// NotStable: the readings drift or jump in the order they were taken.
	NotStable result.WarningCode = "not-stable"
	// LotsDiffer: the lots differ by more than their own scatter explains.
	LotsDiffer result.WarningCode = "lots-differ"
	// FewLots: the spread between lots rests on few lots.
	FewLots result.WarningCode = "few-lots"
	// BoundsOnly: some readings are only bounds, so that statistics of all are not given.
	BoundsOnly result.WarningCode = "bounds-only"
	// Outliers: readings lie too far out for the family of the others.
	Outliers result.WarningCode = "outliers"
	// OutsideLimits: readings lie outside the limits.
	OutsideLimits result.WarningCode = "outside-limits"
)

// Warning is a caution that belongs to a result.
type Warning = result.Warning
