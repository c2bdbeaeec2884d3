package interval

import (
	"fmt"
	"math"
)

// betaTails returns the regularised incomplete beta function I_x(a, b) and its
// complement I_y(b, a), y = 1 - x. Both x and y are arguments because the
// smaller one carries the digits. The smaller tail is right to about 1e-13
// relative for a and b from 1e-3 to 1e11, where logarithms of gamma functions
// would lose up to eight digits.
func betaTails(a, b, x, y float64) (lower, upper float64) {
	lambda := betaDifference(a, b, x, y)
	switch {
	case x <= 0:
		return 0, 1
	case y <= 0:
		return 1, 0
	case lambda > x-y: // x < (a+1)/(a+b+2)
		lower = betaKernel(a, b, x, y) / betaFraction(a, b, x, lambda)
		return lower, 1 - lower
	default:
		upper = betaKernel(a, b, x, y) / betaFraction(b, a, y, -lambda)
		return 1 - upper, upper
	}
}

// betaDifference returns λ = a - (a+b) x, from whichever of x and y = 1 - x has
// the digits.
func betaDifference(a, b, x, y float64) float64 {
	if y < x {
		return math.FMA(a+b, y, -b)
	}
	return math.FMA(-(a + b), x, a)
}

// betaKernel returns x^a y^b / B(a, b) with y = 1 - x.
//
// Saddle-point form: Loader, "Fast and accurate computation of binomial
// probabilities", 2000. The deviances of both sides are written with the one
// difference λ, so that no digits cancel.
func betaKernel(a, b, x, y float64) float64 {
	n, lambda := a+b, betaDifference(a, b, x, y)
	exponent := stirlingError(n) - stirlingError(a) - stirlingError(b) -
		a*deviance(-lambda/a, n/a*x) - b*deviance(lambda/b, n/b*y)
	// Γ(n+1)/(Γ(a+1)Γ(b+1)) x^a y^b = exp(exponent) sqrt(n/2πab), times ab/n.
	return math.Exp(exponent) * math.Sqrt(a/n*b/(2*math.Pi))
}

// stirlingError returns ln Γ(x+1) - [(x+1/2) ln x - x + ln(2π)/2], x > 0.
func stirlingError(x float64) float64 {
	if x < 10 {
		lgamma, _ := math.Lgamma(x + 1)
		return lgamma - (x+0.5)*math.Log(x) + x - 0.5*math.Log(2*math.Pi)
	}
	// NIST DLMF 5.11.1; the first term left out is below 7e-16 at x = 10.
	s := 1 / (x * x)
	return (1./12 - s*(1./360-s*(1./1260-s*(1./1680-s*(1./1188-s*691./360360))))) / x
}

// deviance returns t - ln(ratio) with ratio = 1 + t, from t where that is small
// and from ratio where it is far from 1.
func deviance(t, ratio float64) float64 {
	if math.Abs(t) > 0.25 {
		return t - math.Log(ratio)
	}
	// ln(1+t) = 2 atanh r with r = t/(2+t), and t - 2r = r t.
	r := t / (2 + t)
	s := r * r
	sum, power := 0.0, s
	for k := 3.0; power > 1e-18*s; k += 2 {
		sum += power / k
		power *= s
	}
	return r * (t - 2*sum)
}

// betaFraction returns x^a y^b/(B(a, b) I_x(a, b)): the even part of the
// continued fraction of NIST DLMF 8.17.22 in the form of Didonato & Morris, ACM
// Trans. Math. Softw. 18 (1992) 360 (BFRAC), which λ keeps free of cancellation
// for x near 1. Modified Lentz method, of the order of sqrt(min(a, b)) terms.
func betaFraction(a, b, x, lambda float64) float64 {
	const tiny = 1e-300
	f := (lambda + 1) * a / (a + 1)
	c, d := f, 0.0
	for m := 1.0; ; m++ {
		w := m * (b - m) * x / (a + 2*m - 1)
		alpha := (a + m - 1) / (a + 2*m - 1) * (a + b + m - 1) * w * x
		beta := m + w + (a+m)/(a+2*m+1)*(lambda+1+m*(2-x))
		d = beta + alpha*d
		if d == 0 {
			d = tiny
		}
		c = beta + alpha/c
		if c == 0 {
			c = tiny
		}
		d = 1 / d
		f *= c * d
		if !(math.Abs(c*d-1) > 4e-16) {
			return f
		}
	}
}

// newtonIncreasing finds the zero of an increasing function by Newton steps
// from start, held inside a shrinking bracket within [low, high]; a step that
// leaves it is replaced by the midpoint. f returns value and slope.
func newtonIncreasing(f func(float64) (value, slope float64), low, high, start float64) float64 {
	x := start
	for range 200 {
		value, slope := f(x)
		switch {
		case value == 0:
			return x
		case value < 0:
			low = x
		default:
			high = x
		}
		next := x - value/slope
		if !(next > low && next < high) {
			next = low + (high-low)/2
		}
		if math.Abs(next-x) <= 2e-16*math.Abs(x) {
			return next
		}
		x = next
	}
	return x
}

// bisectIncreasing finds the zero of an increasing function in [low, high] to
// the last bits.
func bisectIncreasing(f func(float64) float64, low, high float64) float64 {
	for {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			return middle
		}
		if f(middle) < 0 {
			low = middle
		} else {
			high = middle
		}
	}
}

// Ranks holds the order statistics that bound a quantile: with the sample in
// ascending order x_(1) <= ... <= x_(n), the quantile lies in
// [x_(Lower), x_(Upper)].
type Ranks struct {
	// Lower and Upper count from 1. An end that this sample size cannot give
	// has Lower = 0 or Upper = n+1: the bound is then -Inf or +Inf.
	Lower, Upper                   int64
	LowerAvailable, UpperAvailable bool
	// Coverage is the exact probability of covering the quantile, at least the
	// level asked for; an end not available counts as infinite.
	Coverage float64
}

// OrderStatisticRanks returns the ranks of the two-sided interval of the given
// level for the p-quantile, 0 < p < 1, of n >= 1 independent values of any
// continuous distribution: the largest l with P(X <= l-1) <= (1-level)/2 and
// the smallest u with P(X >= u) <= (1-level)/2, X ~ Bin(n, p). No sum over n is
// taken; n up to 1e11 takes milliseconds.
//
// For a distribution with atoms the coverage is at least that given. Source:
// David & Nagaraja, Order Statistics, 3rd ed. 2003, sec. 7.1.
func OrderStatisticRanks(n int64, p, level float64) Ranks {
	mustQuantile(n, p)
	mustLevel(level)
	tail := (1 - level) / 2
	r := Ranks{Lower: lowerRank(n, p, tail), Upper: upperRank(n, p, tail)}
	r.fill(n, p)
	return r
}

// fill sets the coverage B(u-1) - B(l-1), the probabilities of missing on
// either side taken from 1 so that no digits are lost, and the flags.
func (r *Ranks) fill(n int64, p float64) {
	missBelow, _ := BinomialTails(r.Lower-1, n, p)
	_, missAbove := BinomialTails(r.Upper-1, n, p)
	r.Coverage = 1 - missBelow - missAbove
	r.LowerAvailable, r.UpperAvailable = r.Lower >= 1, r.Upper <= n
}

// lowerRank returns the largest l >= 0 with P(X <= l-1) <= tail.
func lowerRank(n int64, p, tail float64) int64 {
	return smallestReaching(n, p, -normalUpper(tail), func(k int64) bool {
		lower, _ := BinomialTails(k, n, p)
		return lower > tail
	})
}

// upperRank returns the smallest u <= n+1 with P(X >= u) <= tail.
func upperRank(n int64, p, tail float64) int64 {
	return 1 + smallestReaching(n, p, normalUpper(tail), func(k int64) bool {
		_, upper := BinomialTails(k, n, p)
		return upper <= tail
	})
}

func mustQuantile(n int64, p float64) {
	if n < 1 || !(p > 0 && p < 1) {
		panic(fmt.Sprintf("interval: no quantile at p = %v from %d values", p, n))
	}
}
