package reports

import (
	"slices"
	"strconv"
	"strings"

	"clampodds/sim"
	"clampodds/sim/result"
)

// Warning says what to mind about a number or a result.
type Warning = result.Warning

// Interval bounds a number; an end that the samples cannot give is infinite.
type Interval = result.Interval

// Estimate is one number with its interval, in SI units.
type Estimate = sim.Estimate

// Unit turns values in SI units into ones for people.
type Unit struct {
	Label string
	Of    func(si float64) float64
}

// Head is a column head with the unit: "limit [°C]".
func (u Unit) Head(text string) string {
	if u.Label == "" {
		return text
	}
	return text + " [" + u.Label + "]"
}

// Text prints a value given exactly, a limit or a nominal: "85 °C".
func (u Unit) Text(si float64) string { return strings.TrimSpace(Plain(u.Of(si)) + " " + u.Label) }

// estimateCells prints an estimate as value, low and high in u, with the decimals that
// the interval supports.
func estimateCells(e Estimate, u Unit) []string {
	value, low, high := u.Of(e.Value), u.Of(e.Low), u.Of(e.High)
	d := estimateDigits(value, low, high)
	return []string{Number(value, d), Number(low, d), Number(high, d)}
}

// probabilityCells prints a probability as value, low and high. One that was
// never seen reads as its upper bound, not as zero, with how many were looked at: others may show some.
func probabilityCells(e Estimate) []string {
	value, low, high := e.Value, e.Low, e.High
	if value == 0 {
		return []string{noneOf(e), "0", "≤ " + Probability(high, 0, 0)}
	}
	var cells []string
	for _, p := range []float64{value, low, high} {
		cells = append(cells, probabilityLike(value, p, low, high))
	}
	return cells
}

// noneSeen is what one reads that was never seen among an unknown number, noneOfSome how it begins with the number.
const noneSeen, noneOfSome = "none seen", "none of "

func noneOf(e Estimate) string {
	if e.N <= 0 {
		return noneSeen
	}
	return noneOfSome + strconv.FormatInt(e.N, 10)
}

// levelOfNone is the level at which the bounds of what was not seen hold, so that they can be reckoned again; empty without any.
func levelOfNone(of ...Estimate) string {
	for _, e := range of {
		if e.Value == 0 && e.N > 0 && e.Level > 0 {
			return Plain(100*e.Level) + " %"
		}
	}
	return ""
}

// boundCell prints a bound over what is not known, empty where that is not kept apart.
func boundCell(e *Estimate) string {
	if e == nil {
		return ""
	}
	return probabilityCells(*e)[0]
}

// countCell prints a number, empty for none.
func countCell(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// warningBlocks lists warnings under a heading, each once, if there are any.
func warningBlocks(all []Warning) []Block {
	if len(all) == 0 {
		return nil
	}
	var list List
	for _, w := range all {
		if !slices.Contains(list, w.Text) {
			list = append(list, w.Text)
		}
	}
	return []Block{Heading("Warnings"), list}
}
