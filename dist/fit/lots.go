package fit

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"clampodds/dist"
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
		l.Warnings = append(l.Warnings, warn(LotsDiffer,
			"the lots differ (F = %.3g, p = %.2g): a unit of a new lot spreads by %.3g, not by the %.3g within a lot", l.F, l.P, l.Total, l.Within))
	}
	if l.Count < 10 {
		l.Warnings = append(l.Warnings, warn(FewLots, "the spread between lots rests on %d lots", l.Count))
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
