package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"clampodds/dist"
	"clampodds/sim/result"
)

// Lots splits the spread of grouped readings (by lot, supplier, tool, operator)
// into that within a group and that between groups: the one-way random-effects
// analysis of variance (Searle, Casella and McCulloch, Variance Components,
// 1992).
type Lots struct {
	N, Count int // readings, groups
	Mean     float64
	// PerLot is the number of readings of a group; of unequal groups
	// (n - sum n_i^2/n)/(groups - 1).
	PerLot                        float64
	MeanSquareBetween             float64 // Count-1 degrees of freedom
	MeanSquareWithin              float64 // N-Count degrees of freedom
	F, P                          float64 // P that equal lots give a larger F
	Within, Between, Total        float64 // standard deviations
	WithinInterval                Range
	Correlation                   float64 // of two readings of one lot, Between^2/Total^2
	CorrelationInterval           Range
	Warnings                      []Warning
	predictedSD, predictedFreedom float64
}

// NewLots takes the readings of each group, at least two groups and one group
// with two readings or more, finite, and the level of the intervals in (0, 1).
// The interval of Correlation is exact for equal groups. Other input gets an
// error.
func NewLots(groups [][]float64, level float64) (Lots, error) {
	l := Lots{Count: len(groups)}
	if err := checkLevel(level); err != nil {
		return l, err
	}
	squares := 0.0
	for _, g := range groups {
		if len(g) == 0 {
			return l, refuse("readings of a group", 0, ">= 1")
		}
		if err := finite(g); err != nil {
			return l, err
		}
		l.N += len(g)
		squares += float64(len(g)) * float64(len(g))
	}
	if l.Count < 2 || l.N == l.Count {
		return l, refuse("number of groups", float64(l.Count), ">= 2, and fewer than readings")
	}
	l.squares(groups)
	if !(l.MeanSquareWithin > 0) {
		return l, refuse("spread within the groups", 0, "> 0")
	}
	n, k := float64(l.N), float64(l.Count)
	l.PerLot = (n - squares/n) / (k - 1)
	l.components(level)
	l.prediction()
	l.warn()
	return l, nil
}

// squares are taken about means, so that leading digits that all readings share do
// not hurt.
func (l *Lots) squares(groups [][]float64) {
	means, counts := make([]float64, len(groups)), make([]float64, len(groups))
	for i, g := range groups {
		means[i], counts[i] = stat.Mean(g, nil), float64(len(g))
	}
	l.Mean = stat.Mean(means, counts)
	between, within := 0.0, 0.0
	for i, g := range groups {
		between += counts[i] * (means[i] - l.Mean) * (means[i] - l.Mean)
		for _, x := range g {
			within += (x - means[i]) * (x - means[i])
		}
	}
	l.MeanSquareBetween = between / float64(l.Count-1)
	l.MeanSquareWithin = within / float64(l.N-l.Count)
}

func (l *Lots) components(level float64) {
	k, rest := float64(l.Count-1), float64(l.N-l.Count)
	l.F = l.MeanSquareBetween / l.MeanSquareWithin
	ratio := distuv.F{D1: k, D2: rest}
	l.P = ratio.Survival(l.F)
	between := math.Max(0, (l.MeanSquareBetween-l.MeanSquareWithin)/l.PerLot)
	l.Within, l.Between = math.Sqrt(l.MeanSquareWithin), math.Sqrt(between)
	l.Total = math.Hypot(l.Within, l.Between)
	low, high := chiSquareRoots(rest, level)
	l.WithinInterval = Range{Low: l.Within * low, High: l.Within * high}
	correlation := func(f float64) float64 { return math.Max(0, (f-1)/(f+l.PerLot-1)) }
	l.Correlation = correlation(l.F)
	tail := (1 - level) / 2
	l.CorrelationInterval = Range{Low: correlation(l.F / ratio.Quantile(1-tail)), High: correlation(l.F / ratio.Quantile(tail))}
}

// prediction of a unit from a new lot: the variance of the unit and of the mean,
// a MSB + b MSW with a = 1/PerLot + 1/N and b = 1 - 1/PerLot, and its degrees of
// freedom (Satterthwaite, Biometrics 2 (1946) 110). Lots that do not differ are
// one.
func (l *Lots) prediction() {
	k, n := float64(l.Count), float64(l.N)
	a, b := 1/l.PerLot+1/n, 1-1/l.PerLot
	msb, msw := l.MeanSquareBetween, l.MeanSquareWithin
	if l.Between == 0 {
		square := ((k-1)*msb + (n-k)*msw) / (n - 1)
		l.predictedSD, l.predictedFreedom = math.Sqrt(square*(1+1/n)), n-1
		return
	}
	square := a*msb + b*msw
	l.predictedSD = math.Sqrt(square)
	l.predictedFreedom = square * square / (a*a*msb*msb/(k-1) + b*b*msw*msw/(n-k))
}

func (l *Lots) warn() {
	if l.P < 0.05 {
		l.Warnings = append(l.Warnings, result.Warn(LotsDiffer,
			"the lots differ (F = %.3g, p = %.2g): a unit of a new lot spreads by %.3g, not by the %.3g within a lot", l.F, l.P, l.Total, l.Within))
	}
	if l.Count < 10 {
		l.Warnings = append(l.Warnings, result.Warn(FewLots, "the spread between lots rests on %d lots", l.Count))
	}
}

// Predictive returns the distribution of a unit from a new lot, for normal
// readings and lots: Student's t, about.
func (l Lots) Predictive() (dist.Distribution, error) {
	return dist.NewStudentT(math.Min(l.predictedFreedom, 1e5), l.Mean, l.predictedSD)
}

// Parts returns a unit of a new lot, for normal readings and lots, as a study entry: its own draw, and the level of its
// lot beside it where the lots differ, both with how many the numbers come from.
func (l Lots) Parts() Entry {
	e := Entry{Shape: string(Normal), Values: []EntryValue{entryValue("mean", l.Mean), entryValue("sd", l.Within)}}
	return l.addLot(e, entryValue("lot_sd", l.Between))
}

// addLot adds the part of a lot, and how many readings and lots there are behind both.
func (l Lots) addLot(e Entry, between EntryValue) Entry {
	if freedom := l.N - l.Count; freedom >= 2 {
		e.Readings = freedom + 1
	}
	if between.Value > 0 {
		e.Values = append(e.Values, between)
		e.Lots = l.Count
	}
	return e
}

// LotFactor splits the spread of readings that are never negative: a unit is its own draw times the factor of its lot,
// whose logarithm is normal with mean 0. First guesses are those of the analysis of variance of the logarithms; each family takes its
// parameters from their mean and their variance within lots, and the family within a lot is the one with the largest likelihood
// less its number of parameters (AIC), the factors of the lots integrated out. The lognormal family keeps the guesses, which
// are the best there are; of others, whose logarithms have a long tail near 0, scale and spread between lots are moved to the
// largest likelihood, the variance between k lots times k/(k-1) since it is taken about a fitted mean.
type LotFactor struct {
	Within Family
	// Between is the standard deviation of the logarithm of the factor.
	Between    float64
	values     []EntryValue
	logarithms Lots
}

// NewLotFactor takes the readings of each group as NewLots does, all above 0.
func NewLotFactor(groups [][]float64, level float64) (LotFactor, error) {
	logs := make([][]float64, len(groups))
	for i, g := range groups {
		for _, x := range g {
			if !(x > 0) {
				return LotFactor{}, fmt.Errorf("reading %g: lots of what is never negative are compared by logarithms, which need readings above 0", x)
			}
			logs[i] = append(logs[i], math.Log(x))
		}
	}
	l, err := NewLots(logs, level)
	if err != nil {
		return LotFactor{}, err
	}
	f := LotFactor{Between: l.Between, logarithms: l}
	best := math.Inf(-1)
	for _, c := range ofLogarithms(l.Mean, l.MeanSquareWithin) {
		d, err := dist.FromSpec(Entry{Shape: string(c.family), Values: c.values}.Spec())
		if err != nil {
			continue // a spread that the family cannot have
		}
		if merit := l.likelihood(d, logs) - float64(len(c.values)); merit > best {
			best, f.Within, f.values = merit, c.family, c.values
		}
	}
	if f.Within != Lognormal {
		f.refine(logs)
	}
	return f, nil
}

// leastFactor is the spread of factors that counts as none.
const leastFactor = 0.01

// refine moves the scale and the spread between lots to the largest likelihood. Where the search fails the guesses stay.
func (f *LotFactor) refine(logs [][]float64) {
	d, err := dist.FromSpec(Entry{Shape: string(f.Within), Values: f.values}.Spec())
	if err != nil {
		return
	}
	at := f.logarithms
	o := &optimum{ // working: ln of the factor of the scale, and the spread, whose sign says nothing
		logL: func(working []float64) float64 {
			at.Mean, at.Between = f.logarithms.Mean+working[0], math.Abs(working[1])
			moved, err := dist.Multiplied(d, math.Exp(working[0]))
			if err != nil {
				return math.Inf(-1)
			}
			return at.likelihood(moved, logs)
		},
		origin: []float64{0, math.Max(f.Between, 0.1)}, unit: []float64{0.1, 0.1}, n: float64(at.N), best: make([]float64, 2),
	}
	if !o.climb(twoPoint, 1e-2) {
		return
	}
	found := o.working(o.best)
	scale := &f.values[len(f.values)-1]
	scale.Value *= math.Exp(found[0])
	k := float64(f.logarithms.Count)
	if f.Between = math.Abs(found[1]) * math.Sqrt(k/(k-1)); f.Between < leastFactor {
		f.Between = 0
	}
}

// Entry returns a unit of a new lot as a study entry.
func (f LotFactor) Entry() Entry {
	e := Entry{Shape: string(f.Within), Values: append([]EntryValue{}, f.values...)}
	return f.logarithms.addLot(e, entryValue("lot_sigma_ln", f.Between))
}

// withinLot is a family with its parameters.
type withinLot struct {
	family Family
	values []EntryValue
}

const eulerGamma = 0.57721566490153286061

// ofLogarithms gives each family the mean of the logarithm, and its variance where it has a parameter for it: of a Weibull
// distribution ln scale - γ/k and π²/(6 k²), of a gamma distribution ψ(k) + ln scale and ψ'(k), of the half-normal
// ln scale - (γ + ln 2)/2, of Rayleigh's ln scale + (ln 2 - γ)/2.
func ofLogarithms(mean, variance float64) []withinLot {
	k := math.Pi / math.Sqrt(6*variance)
	a := inverseTrigamma(variance)
	return []withinLot{
		{Lognormal, []EntryValue{entryValue("median", math.Exp(mean)), entryValue("sigma_ln", math.Sqrt(variance))}},
		{Weibull, []EntryValue{entryValue("shape", k), entryValue("scale", math.Exp(mean+eulerGamma/k))}},
		{Gamma, []EntryValue{entryValue("shape", a), entryValue("scale", math.Exp(mean-mathext.Digamma(a)))}},
		{HalfNormal, []EntryValue{entryValue("scale", math.Exp(mean+(eulerGamma+math.Ln2)/2))}},
		{Rayleigh, []EntryValue{entryValue("scale", math.Exp(mean+(eulerGamma-math.Ln2)/2))}},
	}
}

// inverseTrigamma is the a with ψ'(a) = variance; ψ'(a) is Hurwitz's zeta function of 2 and falls with a.
func inverseTrigamma(variance float64) float64 {
	low, high := 1e-3, 1e6
	for range 100 {
		if middle := math.Sqrt(low * high); mathext.Zeta(2, middle) > variance {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// likelihood is the logarithm of that of all readings, d the distribution within a lot: over the factor of each lot, by
// the trapezoidal rule half a standard deviation apart about where normal logarithms would put it.
func (l Lots) likelihood(d dist.Distribution, logs [][]float64) float64 {
	sum := 0.0
	for _, g := range logs {
		sum += l.likelihoodOf(d, g)
	}
	return sum
}

func (l Lots) likelihoodOf(d dist.Distribution, logs []float64) float64 {
	at := func(factor float64) (density float64) { // of the logarithms of the readings
		for _, y := range logs {
			density += d.LogDensity(math.Exp(y-factor)) + y - factor
		}
		return density
	}
	if l.Between == 0 {
		return at(0)
	}
	n, mean := float64(len(logs)), 0.0
	for _, y := range logs {
		mean += y / n
	}
	between, error := l.Between*l.Between, l.MeanSquareWithin/n
	centre, width := (mean-l.Mean)*between/(between+error), math.Sqrt(between*error/(between+error))
	var terms []float64
	for t := -6.0; t <= 6; t += 0.5 {
		factor := centre + width*t
		terms = append(terms, at(factor)+dist.NormalLogDensity(factor/l.Between)-math.Log(l.Between)+math.Log(0.5*width))
	}
	return floats.LogSumExp(terms)
}
