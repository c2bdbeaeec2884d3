package reports

import (
	"encoding/json"
	"math"
	"slices"
	"strings"

	"clampodds/sim"
)

// Real is a number of a result. JSON has no infinities and no NaN: they are
// written as null, and a warning beside them says why.
type Real float64

// MarshalJSON implements json.Marshaler.
func (r Real) MarshalJSON() ([]byte, error) {
	if f := float64(r); !math.IsNaN(f) && !math.IsInf(f, 0) {
		return json.Marshal(f)
	}
	return []byte("null"), nil
}

// Warning says what to mind about a number or a result.
type Warning struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

// Interval bounds a number; an end that the samples cannot give is infinite.
type Interval struct {
	Low  Real `json:"low"`
	High Real `json:"high"`
}

// NewInterval converts an interval of the simulation for the reports.
func NewInterval(i sim.Interval) Interval { return Interval{Real(i.Low), Real(i.High)} }

// Estimate is one number with its interval, in SI units.
type Estimate struct {
	Value Real `json:"value"`
	Interval
	// Level is the confidence asked for, Achieved the one the interval has.
	Level    Real `json:"level"`
	Achieved Real `json:"achieved"`
	// Count of N: events of a probability, rank of a percentile.
	Count      int64     `json:"count"`
	N          int64     `json:"n"`
	EffectiveN Real      `json:"effective_n"`
	Method     string    `json:"method"`
	Warnings   []Warning `json:"warnings,omitempty"`
}

// NewEstimate converts an estimate of the simulation for the reports.
func NewEstimate(e sim.Estimate) Estimate {
	return Estimate{
		Value: Real(e.Value), Interval: NewInterval(e.Interval), Level: Real(e.Level), Achieved: Real(e.Achieved),
		Count: e.Count, N: e.N, EffectiveN: Real(e.EffectiveN), Method: e.Method, Warnings: Warnings(e.Warnings),
	}
}

// Warnings converts the warnings of the simulation for the reports.
func Warnings(all []sim.Warning) []Warning {
	var out []Warning
	for _, w := range all {
		out = append(out, Warning{string(w.Code), w.Text})
	}
	return out
}

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

// cells prints an estimate as value, low and high in u, with the decimals that
// the interval supports.
func (e Estimate) cells(u Unit) []string {
	value, low, high := u.Of(float64(e.Value)), u.Of(float64(e.Low)), u.Of(float64(e.High))
	d := Digits(value, low, high)
	return []string{Number(value, d), Number(low, d), Number(high, d)}
}

// probabilityCells prints a probability as value, low and high. One that was
// never seen reads as its upper bound, not as zero.
func (e Estimate) probabilityCells() []string {
	value, low, high := float64(e.Value), float64(e.Low), float64(e.High)
	if value == 0 {
		return []string{"none seen", "0", "≤ " + Probability(high, 0, 0)}
	}
	return []string{Probability(value, low, high), Probability(low, low, high), Probability(high, low, high)}
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
