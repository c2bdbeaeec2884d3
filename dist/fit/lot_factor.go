package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mathext"

	"clampodds/dist"
)

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

// eulerGamma is Euler's constant.
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
