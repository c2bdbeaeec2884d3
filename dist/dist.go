// Package dist holds one toleranced quantity: its shape, its parameters in the
// trade's words, its cuts at inspection limits, measured readings and mixtures.
//
// Everything is sampled by inversion: a point of the unit interval goes in, a
// value comes out, so that every sampling plan and every correlation works with
// every shape. Values are plain float64 in SI units; the package does not know
// what they measure.
package dist

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
