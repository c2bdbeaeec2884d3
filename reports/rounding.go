package reports

import (
	"math"
	"strconv"
	"strings"
)

// Digits returns how many decimals of value its interval supports: the last
// decimal shown is of the order of a tenth of the interval's half-width, so
// that rounding hides nothing and promises nothing. Where one end is infinite the
// other tells the half-width. Without a finite end, or with an interval of no
// width, it gives six significant digits.
func Digits(value, low, high float64) int {
	width := halfWidth(value, low, high)
	if !(width > 0) || math.IsInf(width, 0) {
		if value == 0 || math.IsInf(value, 0) || math.IsNaN(value) {
			return 0
		}
		return max(0, 5-int(math.Floor(math.Log10(math.Abs(value)))))
	}
	return max(0, 1-int(math.Floor(math.Log10(width))))
}

// halfWidth is that of an interval, or the distance to its finite end.
func halfWidth(value, low, high float64) float64 {
	if width := (high - low) / 2; !math.IsInf(width, 0) {
		return width
	}
	return min(high-value, value-low)
}

// estimateDigits is Digits for an estimate that was sampled: one less where the half-width begins with more than 3.5,
// so that the last decimal is from a thirty-fifth to a third of it and promises no more than the
// interval knows (Review of Particle Physics, Phys. Rev. D 98 (2018) 030001, Introduction 5.3: two
// digits of an error whose first three are 100 to 354, one of 355 to 949).
func estimateDigits(value, low, high float64) int {
	d := Digits(value, low, high)
	if half := halfWidth(value, low, high); d > 0 && !math.IsInf(half, 0) && half*math.Pow(10, float64(d-1)) > 3.55 {
		d--
	}
	return d
}

// Number prints value with a fixed number of decimals; infinities and an
// unavailable value read as words, not as symbols of a programming language.
func Number(value float64, decimals int) string {
	switch {
	case math.IsNaN(value):
		return "n/a"
	case math.IsInf(value, 1):
		return "∞"
	case math.IsInf(value, -1):
		return "-∞"
	}
	s := strconv.FormatFloat(value, 'f', decimals, 64)
	if v, _ := strconv.ParseFloat(s, 64); v == 0 {
		return strconv.FormatFloat(0, 'f', decimals, 64) // no "-0.00"
	}
	return s
}

// NumberDown is Number of the next value below that has so many decimals, NumberUp of the next above:
// a limit rounded so is still inside.
func NumberDown(value float64, decimals int) string { return stepwise(value, decimals, math.Floor) }

// NumberUp: see NumberDown.
func NumberUp(value float64, decimals int) string { return stepwise(value, decimals, math.Ceil) }

func stepwise(value float64, decimals int, to func(float64) float64) string {
	nearest := Number(value, decimals)
	if v, err := strconv.ParseFloat(nearest, 64); err != nil || math.Abs(v-value) <= 1e-9*math.Abs(value) {
		return nearest // as good as there: binary digits are no reason for a step
	}
	shift := math.Pow(10, float64(decimals))
	return Number(to(value*shift)/shift, decimals)
}

// Plain prints a number that is given exactly, with at most six digits.
func Plain(value float64) string { return strconv.FormatFloat(value, 'g', 6, 64) }

// fourDigits prints a number without an interval, one of a single evaluation: more digits
// than that are not meant. The JSON has them.
func fourDigits(value float64) string {
	if value == 0 || math.IsInf(value, 0) || math.IsNaN(value) {
		return Plain(value)
	}
	unit := math.Pow(10, math.Floor(math.Log10(math.Abs(value)))-3)
	rounded := math.Round(value/unit) * unit
	if math.Abs(rounded) >= 1e6 {
		return strconv.FormatFloat(rounded, 'g', 4, 64)
	}
	return Plain(rounded)
}

// Probability prints a probability with the digits its interval supports, in the one
// notation of all tables, sentences and figures: powers of ten below a hundredth
// ("7.2e-4", "1.28e-3"), a plain decimal from there on. Zero is never printed for a
// probability that was only not seen; give its bound instead.
func Probability(p, low, high float64) string { return probabilityLike(p, p, low, high) }

// probabilityLike prints p in the notation of the probability that it bounds, so that a
// value and its interval read alike.
func probabilityLike(of, p, low, high float64) string {
	if p < of*negligible { // the low end of one event that was seen: 0 is a bound too, and says as much
		p = 0
	}
	if p == 0 || p == 1 || math.IsNaN(p) {
		return Number(p, 0)
	}
	half := (high - low) / 2
	significant := 3
	if half > 0 && !math.IsInf(half, 0) {
		significant = int(math.Floor(math.Log10(math.Abs(p)))) - int(math.Floor(math.Log10(half))) + 2
		significant = min(max(significant, 2), 6)
	}
	if !(of < decimalFrom) {
		return strconv.FormatFloat(p, 'f', max(0, significant-1-int(math.Floor(math.Log10(math.Abs(p))))), 64)
	}
	return shortPower(strconv.FormatFloat(p, 'e', significant-1, 64))
}

// negligible is the share of a probability below which its low end is printed as 0.
const negligible = 1e-3

// decimalFrom is the least probability printed as a plain decimal.
const decimalFrom = 0.01

// ExactProbability prints a probability that is given, a target or a margin, with no digits
// but its own: "2e-3".
func ExactProbability(p float64) string {
	if !(p > 0 && p < decimalFrom) {
		return Plain(p)
	}
	return shortPower(strconv.FormatFloat(p, 'e', -1, 64))
}

func targetText(p float64) string {
	if !(p > 0) {
		return "none"
	}
	return ExactProbability(p)
}

// shortPower is a power of ten without leading zeros: "7.2e-4" for "7.2e-04".
func shortPower(s string) string { return strings.Replace(s, "e-0", "e-", 1) }
