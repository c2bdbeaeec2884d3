package figure

import (
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/plot"
)

type axis struct {
	label    string // with the unit
	min, max float64
	log      bool
}

// linear is an axis that covers the finite ones of values and a little more.
func linear(label string, values ...float64) axis {
	low, high := limits(values, math.Inf(-1))
	if largest := max(math.Abs(low), math.Abs(high)); !(high-low > 1e-6*largest) {
		half := 0.01 * largest // ticks closer together would all read alike
		if half == 0 {
			half = 1
		}
		low, high = low-half, high+half
	}
	return axis{label: label, min: low - 0.02*(high-low), max: high + 0.02*(high-low)}
}

// fromZero is an axis that starts or ends at zero and covers the values.
func fromZero(label string, values ...float64) axis {
	low, high := limits(append(values, 0), math.Inf(-1))
	if low == high {
		high = 1
	}
	room := 0.04 * (high - low)
	a := axis{label: label, min: low, max: high}
	if low < 0 {
		a.min -= room
	}
	if high > 0 {
		a.max += room
	}
	return a
}

// probabilities is a logarithmic axis over whole powers of ten for values up to 1.
func probabilities(label string, values ...float64) axis {
	clipped := slices.Clone(values)
	for i, v := range clipped {
		clipped[i] = min(v, 1)
	}
	return decades(label, clipped...)
}

// logarithmic is an axis from the smallest to the largest of the positive ones of
// values, over more than one power of ten.
func logarithmic(label string, values ...float64) axis {
	a := decades(label, values...)
	if low, high := limits(values, 0); low > 0 && high > 10*low {
		a.min, a.max = max(a.min, low), high
	}
	return a
}

// decades is a logarithmic axis over the whole powers of ten that cover the
// positive ones of values.
func decades(label string, values ...float64) axis {
	low, high := limits(values, 0)
	if !(low > 0) {
		low, high = 0.1, 1
	}
	bottom, top := math.Floor(math.Log10(low)), math.Ceil(math.Log10(high))
	bottom = min(max(bottom, top-mostDecades), top-1)
	return axis{label: label, min: math.Pow(10, bottom), max: math.Pow(10, top), log: true}
}

// mostDecades bounds a logarithmic axis: below, probabilities that no design can
// be held to would press the rest together.
const mostDecades = 12

// limits returns the smallest and largest of the finite values above floor; 0, 0
// without any.
func limits(values []float64, floor float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if v > floor && v <= math.MaxFloat64 {
			low, high = min(low, v), max(high, v)
		}
	}
	if low > high {
		return 0, 0
	}
	return low, high
}

// ticks lists the places to mark, those with a label and small ones between.
func (a axis) ticks() []plot.Tick {
	if a.log {
		return logTicks(a.min, a.max)
	}
	return linearTicks(a.min, a.max)
}

// linearTicks has up to ten labelled ticks, as many as have room side by side, at
// multiples of 1, 2 or 5 times a power of ten, printed with the decimals of the step.
func linearTicks(low, high float64) (ticks []plot.Tick) {
	for most := 9.0; most > 1; most-- {
		step := RoundStep((high - low) / most)
		ticks = nil
		characters := 0
		for i := math.Ceil(low/step - 1e-9); i*step <= high+1e-9*step; i++ {
			label := tickLabel(i, step)
			ticks = append(ticks, plot.Tick{Value: i * step, Label: label})
			characters += len(label) + 2
		}
		if characters <= mostCharacters {
			break
		}
	}
	return ticks
}

// tickLabel prints i*step with the decimals of the step; far from one, as a
// power of ten.
func tickLabel(i, step float64) string {
	decimals := -int(math.Floor(math.Log10(step) + 1e-9))
	if decimals > 6 || decimals < -5 {
		if i == 0 {
			return "0"
		}
		digits := 1 + int(math.Floor(math.Log10(math.Abs(i*step))+1e-9)) + decimals
		return strconv.FormatFloat(i*step, 'g', digits, 64)
	}
	return strconv.FormatFloat(i*step+0, 'f', max(decimals, 0), 64)
}

// mostCharacters of tick labels, with gaps of two, fit side by side.
const mostCharacters = 60

// RoundStep is the smallest of 1, 2, 5 times a power of ten that is not below s.
func RoundStep(s float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(s)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= s*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// logTicks labels powers of ten, every second or further one of many, and marks
// their multiples.
func logTicks(low, high float64) []plot.Tick {
	bottom, top := int(math.Floor(math.Log10(low)+1e-9)), int(math.Ceil(math.Log10(high)-1e-9))
	each := 1 + (top-bottom)/7
	var ticks []plot.Tick
	for k := bottom; k <= top; k++ {
		power := math.Pow(10, float64(k))
		t := plot.Tick{Value: power}
		if (top-k)%each == 0 {
			t.Label = powerLabel(k)
		}
		ticks = append(ticks, t)
		for m := 2.0; m < 10 && k < top && top-bottom <= 4; m++ {
			ticks = append(ticks, plot.Tick{Value: m * power})
		}
	}
	return ticks
}

// powerLabel prints 10^k as the tables print probabilities.
func powerLabel(k int) string {
	if -3 < k && k < 7 {
		return strconv.FormatFloat(math.Pow(10, float64(k)), 'f', max(0, -k), 64)
	}
	return "1e" + strconv.Itoa(k)
}

// dress gives one axis of the plotting library our look. The axis label is left
// out: on a logarithmic axis the library takes its place to be elsewhere than it
// is, and makes room for it there.
func dress(to *plot.Axis, a axis) {
	to.Min, to.Max = a.min, a.max
	if a.log {
		to.Scale = plot.LogScale{}
	}
	to.Tick.Marker = plot.TickerFunc(func(_, _ float64) []plot.Tick { return a.ticks() })
	align := to.Tick.Label // depends on the axis
	to.Tick.Label = style(smallType, muted)
	to.Tick.Label.XAlign, to.Tick.Label.YAlign = align.XAlign, align.YAlign
	to.Tick.LineStyle = line(rule, hairline)
	to.Tick.Length = 4
	to.LineStyle = line(rule, hairline)
	to.Padding = 0
}
