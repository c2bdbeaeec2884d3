package fit

import (
	"math"

	"clampodds/sim/result"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat"
)

// Description is what readings look like before any family is chosen.
type Description struct {
	N                              int
	Bounds                         int     // readings among them that are only bounds
	Mean, StdDev                   float64 // StdDev with n-1
	MeanInterval, StdDevInterval   Range   // for normal readings
	Min, Lower, Median, Upper, Max float64 // Lower and Upper are the quartiles
	// Skewness and ExcessKurtosis are the sample coefficients with the usual
	// corrections for n, 0 for normal readings.
	Skewness, ExcessKurtosis float64
	// Autocorrelation is that of each reading with the next one.
	Autocorrelation float64
	Distinct        int
	// Step is the smallest difference between two different readings.
	Step     float64
	Warnings []Warning
}

// Describe describes the readings as they stand, gauge error included; level (in
// (0, 1)) is that of the intervals. Another level gets an error. With readings that are
// only bounds all is NaN but the counts and the step: nothing is put in their place.
//
// Quantiles interpolate between order statistics at (n-1)p + 1. The
// autocorrelation is sum (x_i-m)(x_i+1-m) / sum (x_i-m)^2.
func (s *Sample) Describe(level float64) (Description, error) {
	if err := checkLevel(level); err != nil {
		return Description{}, err
	}
	values, sorted := s.data.Values, s.sorted
	if bounds := len(s.data.Below) + len(s.data.Above); bounds > 0 {
		return s.describeBounds(bounds), nil
	}
	d := Description{
		N: len(values), Mean: s.mean, StdDev: s.sd,
		Min: sorted[0], Lower: quantileOf(sorted, 0.25), Median: quantileOf(sorted, 0.5), Upper: quantileOf(sorted, 0.75), Max: sorted[len(sorted)-1],
		Skewness: stat.Skew(values, nil), ExcessKurtosis: math.NaN(),
		Autocorrelation: autocorrelation(values, s.mean),
	}
	if d.N > 3 {
		d.ExcessKurtosis = stat.ExKurtosis(values, nil)
	}
	d.MeanInterval, d.StdDevInterval = normalIntervals(s.n, s.mean, s.sd, level)
	d.Distinct, d.Step = steps(sorted)
	if s.data.Resolution == 0 {
		d.Warnings = coarse(d)
	}
	d.Warnings = append(d.Warnings, s.piles()...)
	return d, nil
}

// Coarse is the step of readings that come in steps of more than half a standard deviation, of more than 180 readings in
// steps that widen their standard deviation (by step^2/24 of it) by more than a fifth of its standard error, and of finer steps
// from a least reading of 0, which stands for what is above it, with no resolution declared; 0 for others.
func (s *Sample) Coarse() float64 {
	if s.data.Resolution == 0 && (s.sorted[0] == 0 || s.step > s.sd*math.Min(0.5, 1.84/math.Sqrt(math.Sqrt(s.n)))) {
		return s.step
	}
	return 0
}

// CoarseSteps says what a gauge's coarse step does to readings.
type CoarseSteps struct {
	Step   float64 `json:"step"`
	Values int     `json:"values"` // different ones
	// Share is that of the step in the variance of the readings, Step^2/12 over it.
	Share float64 `json:"share_of_variance"`
}

// CoarseSteps of readings, declared or found: more than half their standard deviation, and for few readings so much more that
// of a step of a fifth of the true one hardly any column is told so (TestCoarseStepsAreTold). Nil for others, and where some are only bounds.
func (s *Sample) CoarseSteps() *CoarseSteps {
	freedom := s.n - 1
	few := 0.2 * math.Sqrt(freedom/2/mathext.GammaIncRegInv(freedom/2, 0.005))
	if s.boundsOnly() || !(s.step > s.sd*math.Max(0.5, few)) {
		return nil
	}
	c := CoarseSteps{Step: s.step, Share: s.step * s.step / 12 / (s.sd * s.sd)}
	c.Values, _ = steps(s.sorted)
	return &c
}

func (s *Sample) describeBounds(bounds int) Description {
	unknown := math.NaN()
	d := Description{
		N: s.N(), Bounds: bounds, Mean: unknown, StdDev: unknown,
		MeanInterval: Range{Low: unknown, High: unknown}, StdDevInterval: Range{Low: unknown, High: unknown},
		Min: unknown, Lower: unknown, Median: unknown, Upper: unknown, Max: unknown,
		Skewness: unknown, ExcessKurtosis: unknown, Autocorrelation: unknown,
	}
	d.Distinct, d.Step = steps(s.sorted)
	d.Warnings = []Warning{result.Warn(BoundsOnly,
		"%d of %d readings are only bounds: nothing is put in their place, so mean, spread and quantiles come from the fitted family, whose likelihood takes them as bounds", bounds, d.N)}
	return d
}

func checkLevel(level float64) error {
	if !(level > 0 && level < 1) {
		return refuse("level", level, "between 0 and 1")
	}
	return nil
}

func quantileOf(sorted []float64, p float64) float64 {
	at := float64(len(sorted)-1) * p
	i := int(at)
	if i == len(sorted)-1 {
		return sorted[i]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}

func autocorrelation(values []float64, mean float64) float64 {
	sum, squares := 0.0, 0.0
	for i, x := range values {
		squares += (x - mean) * (x - mean)
		if i > 0 {
			sum += (x - mean) * (values[i-1] - mean)
		}
	}
	return sum / squares
}

// steps counts the different values and finds the smallest difference of two;
// differences of 1e-9 of the range are rounding.
func steps(sorted []float64) (distinct int, step float64) {
	distinct, step = 1, math.Inf(1)
	same := 1e-9 * (sorted[len(sorted)-1] - sorted[0])
	for i := 1; i < len(sorted); i++ {
		if difference := sorted[i] - sorted[i-1]; difference > same {
			distinct++
			step = math.Min(step, difference)
		}
	}
	return distinct, step
}

// coarse warns of steps that a fit would notice: beyond half a standard
// deviation the rounding adds more than 2 % to the variance.
func coarse(d Description) []Warning {
	if d.Step > d.StdDev/2 && d.N > d.Distinct {
		return []Warning{result.Warn(CoarseResolution,
			"the readings come in steps of %.3g, %.2g times their standard deviation: declare the resolution, so that a reading counts as anything within half a step",
			d.Step, d.Step/d.StdDev)}
	}
	return nil
}

// Exceedance is what the readings say about parts beyond a limit.
type Exceedance struct {
	Limit float64 `json:"limit"`
	Side  string  `json:"side"` // "above" or "below"
	N     int     `json:"-"`
	// PlugIn is the probability under the fitted curve as if it were true. With
	// few readings it is far too small in a tail.
	PlugIn float64 `json:"plug_in"`
	// Predictive is the probability that the next part is beyond the limit, the
	// uncertainty of the parameters included. NaN where the readings do not bound
	// the parameters.
	Predictive float64 `json:"predictive"`
	// Upper is the bound below which the true probability lies with confidence
	// Level. Far out in a tail it can be below Predictive: a small chance of quite
	// other parameters then makes most of the mean.
	Upper float64 `json:"upper_bound"`
	Level float64 `json:"-"`
}

// Exceedance states the probability of true values above (or below) a limit,
// among the parts that inspection keeps. level in (0, 1) is the confidence of
// the upper bound, 0.95 as a rule; the bound's own confidence is right to 0.001.
func (f *Fit) Exceedance(limit float64, above bool, level float64) (Exceedance, error) {
	if err := checkLevel(level); err != nil {
		return Exceedance{}, err
	}
	if math.IsNaN(limit) {
		return Exceedance{}, refuse("limit", limit, "a number")
	}
	side := "below"
	if above {
		side = "above"
	}
	if given(f.kept) && (above && limit >= f.kept.High || !above && limit <= f.kept.Low) { // inspection leaves none, whatever the parameters
		return Exceedance{Limit: limit, Side: side, N: f.N, Level: level}, nil
	}
	return Exceedance{
		Limit: limit, Side: side, N: f.N,
		PlugIn:     tail(cutTo(f.curve, f.kept), limit, above),
		Predictive: f.uncertain.beyond(limit, above),
		Upper:      f.uncertain.upper(limit, above, level), Level: level,
	}, nil
}

func tail(d density, limit float64, above bool) float64 {
	if above {
		return d.Survival(limit)
	}
	return d.CDF(limit)
}

// Readings pile up at an end where, were a reading as likely there as at each of the pileSteps values beside it, so many would stand there with
// probability pileLevel at most; fewer than pileLeast do not.
const (
	pileSteps = 10
	pileLevel = 5e-4
	pileLeast = 3
)

// piles warns of readings that stand at the largest or the smallest value and hardly beside it, as where a gauge shows no more. In steps above a
// tenth of the standard deviation nothing is said: there a tail ends in a few values anyway.
func (s *Sample) piles() (warnings []Warning) {
	_, step := steps(s.sorted)
	if step > fine*s.sd {
		return nil
	}
	for _, end := range []struct {
		value      float64
		name, sign string
	}{{s.sorted[0], "smallest", "<"}, {s.sorted[len(s.sorted)-1], "largest", ">"}} {
		at, beside := 0, 0
		for _, x := range s.sorted {
			switch distance := math.Abs(x-end.value) / step; {
			case distance < 0.5:
				at++
			case distance < pileSteps+0.5:
				beside++
			}
		}
		// P(binomial of at+beside with 1/(pileSteps+1) >= at)
		if at >= pileLeast && mathext.RegIncBeta(float64(at), float64(beside+1), 1./(pileSteps+1)) < pileLevel {
			warnings = append(warnings, result.Warn(PilesUp, "%d of %d readings stand at the %s value, %.6g, and %d within %d steps of it: if the gauge shows no more there, write them %s%.6g, and they count as bounds",
				at, s.N(), end.name, end.value, beside, pileSteps, end.sign, end.value))
		}
	}
	return warnings
}

// rounding is the largest step of which all differences of rising values are
// multiples, 0 where it is so fine that it does not show in what is made of readings: a
// tenth of the standard deviation, and for more than 25 readings what adds 0.01 to the
// Anderson-Darling statistic of a normal fit, to which steps of w standard deviations add 0.04 n w^2.
func rounding(sorted []float64, sd float64) float64 {
	step := 0.0
	noise := 1e-6 * sd // of decimal fractions in binary
	shows := math.Min(fine, 0.5/math.Sqrt(float64(len(sorted)))) * sd
	for i := 1; i < len(sorted); i++ {
		for rest := sorted[i] - sorted[i-1]; rest > noise; {
			step, rest = rest, math.Abs(math.Remainder(step, rest))
		}
		if step > 0 && step <= shows {
			return 0
		}
	}
	return step
}

// foundStep is the step of all readings, or of those that stand more than once where they are four in five: one that was read more
// finely does not hide the step of the others.
func (s *Sample) foundStep() float64 {
	if step := rounding(s.sorted, s.sd); step > 0 {
		return step
	}
	var repeated []float64
	for i, x := range s.sorted {
		if i > 0 && x == s.sorted[i-1] || i+1 < len(s.sorted) && x == s.sorted[i+1] {
			repeated = append(repeated, x)
		}
	}
	if 5*len(repeated) < 4*len(s.sorted) {
		return 0
	}
	return rounding(repeated, s.sd)
}

// spread goes through the ranked readings, with their probabilities under d. Those of a step are put apart again: the
// probability between half a step below and above is divided evenly, into parts so fine that they no longer show. One alone
// stands in the middle of it, which is inside the support at its end too.
func (s *Sample) spread(d density, add func(below, above, count float64)) {
	for _, p := range s.ranked {
		parts := math.Max(1, math.Min(p.count, math.Ceil(2*s.step/s.sd*math.Sqrt(s.n))))
		low, high := p.x-s.step/2, p.x+s.step/2
		below, above := d.CDF(low), d.Survival(high)
		rise, fall := d.CDF(high)-below, d.Survival(low)-above
		for i := 0.5; i < parts; i++ {
			add(below+rise*i/parts, above+fall*(1-i/parts), p.count/parts)
		}
	}
}
