package acceptance

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"clampodds/sim/interval"
)

// Method says which standard deviation a plan by variables uses.
type Method string

// The methods of ISO 3951.
const (
	// SMethod takes that of the sample.
	SMethod Method = "s"
	// SigmaMethod takes one that is known. It does not see a spread that has grown.
	SigmaMethod Method = "σ"
)

// ReadingError is what is wrong with a reading, as standard deviations over that of
// the parts: Single differs from reading to reading, Shared is the same for all
// readings of a sample, as an operator's or a calibration's is. Both are >= 0.
type ReadingError struct{ Single, Shared float64 }

// LotQuality is a lot as a plan by variables sees it: how far its mean lies inside the limit, in
// standard deviations of the parts, and the error of its readings.
type LotQuality struct {
	Distance float64
	Error    ReadingError
}

// QualityOf returns the quality of a lot with the share of parts beyond the limit, in (0, 1).
func QualityOf(defective float64, e ReadingError) LotQuality {
	return LotQuality{-mathext.NormalQuantile(defective), e}
}

// Defective returns the share of parts beyond the limit.
func (q LotQuality) Defective() float64 { return math.Erfc(q.Distance/math.Sqrt2) / 2 }

// VariablesPlan is a single sampling plan by variables for one limit of a normal
// characteristic, in the terms of ISO 3951: n parts are measured, and the lot is accepted
// when the mean of the readings is k standard deviations or more inside the limit. Make it
// with NewVariablesPlan or SmallestVariablesPlan.
type VariablesPlan struct {
	method Method
	sample int64
	k      float64
}

// fewest is the smallest sample of a plan by variables, that of ISO 3951's first code letter.
const fewest = 3

// NewVariablesPlan takes a sample of at least 3 and a finite acceptability constant.
func NewVariablesPlan(method Method, sample int64, k float64) (VariablesPlan, error) {
	switch {
	case method != SMethod && method != SigmaMethod:
		return VariablesPlan{}, fmt.Errorf("method %q: must be %s or %s", method, SMethod, SigmaMethod)
	case sample < fewest || sample > mostSample:
		return VariablesPlan{}, fmt.Errorf("sample size %d: must be %d to %d", sample, fewest, mostSample)
	case math.IsNaN(k) || math.IsInf(k, 0):
		return VariablesPlan{}, fmt.Errorf("acceptability constant %g: must be finite", k)
	}
	return VariablesPlan{method, sample, k}, nil
}

func (p VariablesPlan) Method() Method { return p.method }

// Sample returns the sample size n.
func (p VariablesPlan) Sample() int64 { return p.sample }

// Constant returns the acceptability constant k.
func (p VariablesPlan) Constant() float64 { return p.k }

// Probability returns the operating characteristic: the probability that a lot of this
// quality is accepted. It is exact for normal parts and errors, and panics for a quality
// out of range.
func (p VariablesPlan) Probability(q LotQuality) float64 { return p.beyond(q, +1) }

// Refusal returns the probability that it is not, without the loss of digits in 1 - Probability.
func (p VariablesPlan) Refusal(q LotQuality) float64 { return p.beyond(q, -1) }

// beyond is the upper tail of (mean - limit)/s above k for sign 1, the lower one for sign -1.
func (p VariablesPlan) beyond(q LotQuality, sign float64) float64 {
	if err := q.check(); err != nil {
		panic("acceptance: " + err.Error())
	}
	mean, spread := q.readings(p.sample)
	if p.method == SigmaMethod {
		return math.Erfc(sign*(p.k-q.Distance)/mean/math.Sqrt2) / 2
	}
	return interval.NoncentralT(-sign*p.k*spread/mean, -sign*q.Distance/mean, float64(p.sample-1))
}

// readings returns the standard deviations of the mean of n readings and of a single one
// about the error they share, in those of the parts.
func (q LotQuality) readings(n int64) (mean, single float64) {
	single = math.Hypot(1, q.Error.Single)
	return math.Hypot(single/math.Sqrt(float64(n)), q.Error.Shared), single
}

// constant returns the k with which a lot of this quality is accepted with the probability given.
func (q LotQuality) constant(m Method, n int64, probability float64) float64 {
	mean, spread := q.readings(n)
	if m == SigmaMethod {
		return q.Distance - mean*mathext.NormalQuantile(probability)
	}
	return interval.NoncentralTQuantile(1-probability, q.Distance/mean, float64(n-1)) * mean / spread
}

func (q LotQuality) check() error {
	switch {
	case math.IsNaN(q.Distance) || math.IsInf(q.Distance, 0):
		return fmt.Errorf("distance %g of the mean from the limit: must be finite", q.Distance)
	case !(q.Error.Single >= 0 && q.Error.Shared >= 0) || math.IsInf(q.Error.Single+q.Error.Shared, 1):
		return fmt.Errorf("reading error %g, shared %g: must be >= 0 and finite", q.Error.Single, q.Error.Shared)
	}
	return nil
}

// VariablesRisks says what a plan by variables must do: accept Good lots with probability
// 1-Producer at least, and each of the Poor ones with probability Consumer at most. One
// share of defectives may come about in several ways, with a different spread each, beside
// which the same error of a reading weighs differently.
type VariablesRisks struct {
	Method   Method
	Good     LotQuality
	Producer float64 // α, in (0, 1)
	Poor     []LotQuality
	Consumer float64 // β, in (0, 1-α)
}

// mostSample bounds the search of SmallestVariablesPlan.
const mostSample = 1_000_000

// ErrNoPlan is returned where no plan keeps both risks.
var ErrNoPlan = fmt.Errorf("no plan keeps both risks: the lots are too alike, or the error of the readings is too large")

// SmallestVariablesPlan returns the plan of the smallest sample that keeps all risks, with
// k halfway between the smallest constant that keeps the consumer's and the largest that keeps the
// producer's. Without errors of the readings there is one within a million readings unless the lots are
// nearly alike; else the error is ErrNoPlan, or it names the field out of range.
func SmallestVariablesPlan(r VariablesRisks) (VariablesPlan, error) {
	if err := r.check(); err != nil {
		return VariablesPlan{}, err
	}
	high := int64(fewest)
	for least, most := r.constants(high); least > most; least, most = r.constants(high) {
		if high *= 2; high > mostSample {
			return VariablesPlan{}, ErrNoPlan
		}
	}
	for low := max(high/2, fewest-1); high-low > 1; {
		middle := low + (high-low)/2
		if least, most := r.constants(middle); least <= most {
			high = middle
		} else {
			low = middle
		}
	}
	least, most := r.constants(high)
	return NewVariablesPlan(r.Method, high, (least+most)/2)
}

// constants returns the smallest k that keeps the consumer's risk and the largest that keeps
// the producer's.
func (r VariablesRisks) constants(n int64) (least, most float64) {
	least = math.Inf(-1)
	for _, q := range r.Poor {
		least = math.Max(least, q.constant(r.Method, n, r.Consumer))
	}
	return least, r.Good.constant(r.Method, n, 1-r.Producer)
}

func (r VariablesRisks) check() error {
	if r.Method != SMethod && r.Method != SigmaMethod {
		return fmt.Errorf("method %q: must be %s or %s", r.Method, SMethod, SigmaMethod)
	}
	if err := r.Good.check(); err != nil {
		return fmt.Errorf("good lot: %w", err)
	}
	if len(r.Poor) == 0 {
		return fmt.Errorf("no poor lot is given")
	}
	for _, q := range r.Poor {
		if err := q.check(); err != nil {
			return fmt.Errorf("poor lot: %w", err)
		}
		if !(q.Distance < r.Good.Distance) {
			return fmt.Errorf("poor lot: its mean is no nearer to the limit (%.4g) than that of the good one (%.4g)", q.Distance, r.Good.Distance)
		}
	}
	return checkRisks(r.Producer, r.Consumer)
}
