// Package result holds what every estimate of package sim and its rooms is made of:
// an interval and the verdict that it gives. It has no statistics of its own.
package result

import "fmt"

// Interval bounds a number. An end that the samples cannot give is infinite, or at the
// end of what is possible.
type Interval struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Judge holds the interval against a limit that the number must not exceed. A limit of
// 0 is none. Ends that are no number decide nothing.
func (i Interval) Judge(limit float64) Verdict {
	switch {
	case limit == 0:
		return NoTarget
	case i.High <= limit:
		return Met
	case i.Low > limit:
		return NotMet
	}
	return Undecided
}

// Contains reports whether x lies within the interval, ends included, or an end is no
// number.
func (i Interval) Contains(x float64) bool { return !(i.Low > x) && !(i.High < x) }

// Negated is the interval of the number with its sign changed.
func (i Interval) Negated() Interval { return Interval{-i.High, -i.Low} }

// Times is the interval of the number times a factor that is not negative.
func (i Interval) Times(factor float64) Interval { return Interval{i.Low * factor, i.High * factor} }

// Verdict says how a number fares against its limit: a probability against the
// target, a change against its margin, a setting against what is required there.
type Verdict int

// The verdicts.
const (
	// NoTarget: there is nothing to hold the number against.
	NoTarget Verdict = iota
	// Met: the whole interval is at or below the limit.
	Met
	// NotMet: the whole interval is above the limit.
	NotMet
	// Undecided: the limit is inside the interval; more samples may settle it. It
	// never means met.
	Undecided
)

// String returns "no target", "met", "not met" or "undecided".
func (v Verdict) String() string { return [...]string{"no target", "met", "not met", "undecided"}[v] }

// Answer is the verdict as the answer to a question: "yes", "no" or "undecided".
func (v Verdict) Answer() string {
	switch v {
	case Met:
		return "yes"
	case NotMet:
		return "no"
	}
	return "undecided"
}

// All is the verdict on several requirements together: one not met decides, then one
// undecided. Without a target among them it is NoTarget.
func All(verdicts ...Verdict) Verdict {
	worst := NoTarget
	for _, v := range verdicts {
		if severity(v) > severity(worst) {
			worst = v
		}
	}
	return worst
}

func severity(v Verdict) int { return [...]int{NoTarget: 0, Met: 1, Undecided: 2, NotMet: 3}[v] }

// Warning says what to mind about a number or a result.
type Warning struct {
	Code WarningCode `json:"code"`
	Text string      `json:"text"`
}

// Warn is a warning with a text as fmt.Sprintf makes it.
func Warn(code WarningCode, format string, values ...any) Warning {
	return Warning{Code: code, Text: fmt.Sprintf(format, values...)}
}

// WarningCode names a kind of warning; codes do not change between versions.
type WarningCode string

// Difference is that of two probabilities, other - first, on common draws.
type Difference struct {
	Value float64 `json:"value"`
	// The interval's ends are one-sided bounds, each of the level.
	Interval
	Level float64 `json:"level"`
	// Tail says that the tail methods gave it; Rows is the number of rows drawn for
	// it along the rise of the output, in each design. With neither it was counted.
	Tail bool  `json:"by_tail_methods"`
	Rows int64 `json:"stratified_cards,omitempty"`
}

// Reversed is the difference of the other order.
func (d Difference) Reversed() Difference {
	d.Value, d.Low, d.High = -d.Value, -d.High, -d.Low
	return d
}

// Effect is what a change does to a number: a difference, a factor or a share.
type Effect struct {
	Value float64 `json:"value"`
	Interval
	// Indistinguishable from no effect.
	Indistinguishable bool `json:"indistinguishable"`
}

// Settling is the accuracy that is expected to settle what is open for want of cards.
type Settling struct {
	Accuracy float64 `json:"accuracy"`
	// Rows is by how much that multiplies them, Chance that the verdict is then clear, or open
	// for want of knowledge.
	Rows   float64 `json:"cards_times"`
	Chance float64 `json:"chance"`
}
