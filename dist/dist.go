// Package dist holds one toleranced quantity: its shape, its parameters in the
// trade's words, its cuts at inspection limits, measured readings and mixtures.
//
// Everything is sampled by inversion: a point of the unit interval goes in, a
// value comes out, so that every sampling plan and every correlation works with
// every shape. Values are plain float64 in SI units; the package does not know
// what they measure.
package dist

import (
	"fmt"
	"math"
	"strconv"
)

// Distribution is one toleranced quantity. All implementations are immutable
// after construction and safe for concurrent use; constructors refuse invalid
// parameters, so a value in hand is always a proper distribution.
//
// Relative accuracy is 1e-12 or better in both tails down to a tail
// probability of 1e-15 unless the type's own comment says less.
type Distribution interface {
	// Quantile returns the x with CDF(x) = p, for p in [0, 1]; the ends give
	// the ends of the support. NaN for p outside [0, 1].
	Quantile(p float64) float64
	// UpperQuantile returns the x with Survival(x) = q. It is the accurate way
	// into the upper tail, where 1-q would round.
	UpperQuantile(q float64) float64
	// CDF returns P(X <= x).
	CDF(x float64) float64
	// Survival returns P(X > x), never computed as 1 - CDF.
	Survival(x float64) float64
	// LogDensity returns ln f(x); -Inf outside the support.
	LogDensity(x float64) float64
	// Mean and StdDev return the first two moments (NaN or +Inf where they do
	// not exist).
	Mean() float64
	StdDev() float64
	// Support returns the closed interval that holds all the probability.
	Support() (low, high float64)
}

// Must returns the value of a function that cannot fail for what it is given, and
// panics where it does: for constants, examples and what was checked before, not for input.
func Must[T any](value T, err error) T {
	if err != nil {
		panic(err)
	}
	return value
}

// ParameterError says which parameter of which shape was refused and why.
// Its text reads "lognormal: sd is -1, must be > 0".
type ParameterError struct {
	Shape     string  // name of the shape, as in Shapes
	Parameter string  // key of the parameter, as in Spec
	Value     float64 // the value refused
	Allowed   string  // the range allowed, in terms of other parameters where it depends on them
}

// Error returns the text.
func (e *ParameterError) Error() string {
	return fmt.Sprintf("%s: %s is %g, must be %s", e.Shape, e.Parameter, e.Value, e.Allowed)
}

// requirement is one condition a parameter has to meet.
type requirement struct {
	parameter string
	value     float64
	met       bool
	allowed   string
}

// check returns a *ParameterError for the first requirement that is not met.
// Infinite values are refused everywhere, NaN fails every comparison.
func check(shape string, requirements ...requirement) error {
	for _, r := range requirements {
		if math.IsInf(r.value, 0) || math.IsNaN(r.value) {
			r.met = false
		}
		if !r.met {
			return &ParameterError{shape, r.parameter, r.value, r.allowed}
		}
	}
	return nil
}

func finite(parameter string, value float64) requirement {
	return requirement{parameter, value, true, "finite"}
}

func positive(parameter string, value float64) requirement {
	return requirement{parameter, value, value > 0, "> 0"}
}

func notNegative(parameter string, value float64) requirement {
	return requirement{parameter, value, value >= 0, ">= 0"}
}

func above(parameter string, value float64, boundName string, bound float64) requirement {
	return requirement{parameter, value, value > bound, "> " + boundName}
}

func notBelow(parameter string, value float64, boundName string, bound float64) requirement {
	return requirement{parameter, value, value >= bound, ">= " + boundName}
}

func within(parameter string, value, low, high float64) requirement {
	return requirement{
		parameter, value, value >= low && value <= high,
		fmt.Sprintf("from %g to %g", low, high),
	}
}

// fraction requires a probability strictly between 0 and 1.
func fraction(parameter string, value float64) requirement {
	return requirement{parameter, value, value > 0 && value < 1, "between 0 and 1"}
}

// percentileKey names the value below which the probability p lies: "p95",
// "p99.9", "p05", "median".
func percentileKey(p float64) string {
	if p == 0.5 {
		return "median"
	}
	key := strconv.FormatFloat(100*p, 'g', 12, 64)
	if p > 0 && p < 0.1 {
		key = "0" + key
	}
	return "p" + key
}
