package rare

import (
	"math"

	"clampodds/sim/interval"
	"clampodds/sim/result"

	"gonum.org/v1/gonum/mathext"
)

// Method names the way a probability was estimated.
type Method string

// The methods.
const (
	ImportanceSampling Method = "importance sampling around the design points"
	CrudeSampling      Method = "crude sampling"
	Envelope           Method = "envelope of the estimates"
)

// Probability is an estimate with a two-sided interval.
type Probability struct {
	Value float64 `json:"value"`
	result.Interval
	// Level is the confidence level of the interval [Low, High]. It covers the
	// sampling noise of the computation only.
	Level float64 `json:"level"`
	// StandardError of Value; 0 where no failure was seen.
	StandardError float64 `json:"standard_error"`
	Method        Method  `json:"method"`
}

// RelativeError is StandardError/Value, +Inf where Value is 0.
func (p Probability) RelativeError() float64 {
	if p.Value == 0 {
		return math.Inf(1)
	}
	return p.StandardError / p.Value
}

// Beta is the reliability index -Phi^-1(Value), +Inf where Value is 0.
func (p Probability) Beta() float64 { return -mathext.NormalQuantile(p.Value) }

// counted is the estimate from failures among n crude draws, with the exact
// interval of Clopper & Pearson.
func counted(failures, n int, level float64) Probability {
	p := Probability{Value: float64(failures) / float64(n), Level: level, Method: CrudeSampling}
	p.StandardError = math.Sqrt(p.Value * (1 - p.Value) / float64(n))
	p.Low, p.High = interval.ClopperPearson(float64(failures), float64(n), level)
	return p
}
