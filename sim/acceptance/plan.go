// Package acceptance computes what a sampling plan passes. By attributes n parts of a lot
// are inspected, and the lot is accepted when no more than c of them
// are defective. In the terms of ISO 2859-1, n is the sample size and c the
// acceptance number Ac. By variables (ISO 3951) n parts are measured, and the lot is
// accepted when their mean is k standard deviations or more inside the limit: for a
// normal characteristic, with fewer parts, but blind to a single part far out.
//
// A plan answers two people. The producer wants lots of a good quality p1
// accepted with probability 1-α at least; the consumer wants lots of a poor
// quality p2 accepted with probability β at most. An accepted lot is not a lot
// without defectives: plan (80, 2) accepts 23 of 100 lots with 5 % defective.
//
// All functions are pure and safe for concurrent use.
package acceptance

import (
	"fmt"

	"clampodds/sim/interval"
)

// Plan is a single sampling plan by attributes; make it with NewPlan or
// SmallestPlan.
type Plan struct{ sample, accept int64 }

// NewPlan returns the plan that inspects sample parts and accepts the lot with
// at most accept defectives among them, 0 <= accept < sample.
func NewPlan(sample, accept int64) (Plan, error) {
	if sample < 1 {
		return Plan{}, fmt.Errorf("sample size %d: must be at least 1", sample)
	}
	if accept < 0 || accept >= sample {
		return Plan{}, fmt.Errorf("acceptance number %d: must be in [0, %d], below the sample size", accept, sample-1)
	}
	return Plan{sample, accept}, nil
}

// Sample returns the sample size n.
func (p Plan) Sample() int64 { return p.sample }

// Accept returns the acceptance number c (Ac).
func (p Plan) Accept() int64 { return p.accept }

// String returns "n = 80, Ac 2".
func (p Plan) String() string { return fmt.Sprintf("n = %d, Ac %d", p.sample, p.accept) }

// Probability returns the operating characteristic Pa = P(Bin(n, defective) <=
// c): the probability that a lot from a process with that share of defectives,
// in [0, 1], is accepted. It panics outside, NaN included.
func (p Plan) Probability(defective float64) float64 {
	accepted, _ := interval.BinomialTails(p.accept, p.sample, defective)
	return accepted
}

// ProbabilityInLot returns the probability that a lot of the given size with
// the given number of defectives is accepted, drawn without replacement
// (hypergeometric). It panics unless sample size <= lot and 0 <= defectives <=
// lot.
func (p Plan) ProbabilityInLot(lot, defectives int64) float64 {
	p.mustFit(lot, defectives)
	return hypergeometricLower(p.accept, p.sample, lot, defectives)
}

func (p Plan) mustFit(lot, defectives int64) {
	if lot < p.sample || defectives < 0 || defectives > lot {
		panic(fmt.Sprintf("acceptance: %s of a lot of %d with %d defectives", p, lot, defectives))
	}
}

// Quality returns the share of defectives that is accepted with the given
// probability, in (0, 1): at 0.95 the producer's risk quality of a 5 % risk, at
// 0.10 the consumer's of a 10 % risk. It is the nearest float64, or the one beside
// it: where nearly all may be defective, the share of good parts has no more digits
// than that leaves.
func (p Plan) Quality(probability float64) float64 {
	// P(Bin(n, q) <= c) = probability is the equation of the exact upper bound.
	return interval.ProportionWithTail(float64(p.accept), float64(p.sample), probability)
}

// hypergeometricLower returns P(X <= k) for the defectives X in a sample drawn
// from a lot.
func hypergeometricLower(k, sample, lot, defectives int64) float64 {
	return hypergeometricMean(sample, lot, defectives, 0, func(x int64) float64 {
		if x <= k {
			return 1
		}
		return 0
	})
}

// hypergeometricMean returns the mean of a function of the defectives in a sample drawn
// from a lot. Terms are built from the mode outward by their ratios and divided
// by their sum, so that neither factorials nor their logarithms are needed. Those below a
// share of the mode's are left out.
func hypergeometricMean(sample, lot, defectives int64, share float64, of func(x int64) float64) float64 {
	low, high := max(0, sample+defectives-lot), min(sample, defectives)
	mode := int64(float64(sample+1) * float64(defectives+1) / float64(lot+2))
	mode = min(max(mode, low), high)
	// P(x+1)/P(x)
	ratio := func(x int64) float64 {
		return float64(defectives-x) / float64(x+1) * float64(sample-x) / float64(lot-defectives-sample+x+1)
	}
	var sum, weights float64
	add := func(x int64, weight float64) {
		sum += weight * of(x)
		weights += weight
	}
	add(mode, 1)
	for x, term := mode, 1.0; x < high && term > share; x++ {
		term *= ratio(x)
		add(x+1, term)
	}
	for x, term := mode, 1.0; x > low && term > share; x-- {
		term /= ratio(x - 1)
		add(x-1, term)
	}
	return sum / weights
}

// Risks says what a plan must do: accept lots with the share Good of
// defectives with probability 1-Producer at least, and lots with the share Poor
// with probability Consumer at most.
type Risks struct {
	Good     float64 // p1, in (0, Poor)
	Producer float64 // α, in (0, 1)
	Poor     float64 // p2, in (Good, 1)
	Consumer float64 // β, in (0, 1-α)
}

// maximumAccept bounds the search of SmallestPlan.
const maximumAccept = 10_000

// SmallestPlan returns the plan of the smallest sample that keeps both risks
// for lots from a process (binomial). An error names the field out of range, or
// says that Good and Poor are so close that the acceptance number would pass
// 10 000.
func SmallestPlan(r Risks) (Plan, error) {
	if err := r.check(); err != nil {
		return Plan{}, err
	}
	for accept := int64(0); accept <= maximumAccept; accept++ {
		// The smallest n with P(Bin(n, Poor) <= c) <= Consumer.
		sample := interval.ToleranceSize(1-r.Poor, 1-r.Consumer, int(accept)+1)
		plan := Plan{sample, accept}
		// Larger samples only lower the producer's side, larger c raise it.
		if accept < sample && plan.Probability(r.Good) >= 1-r.Producer {
			return plan, nil
		}
	}
	return Plan{}, fmt.Errorf("defective shares %g and %g: too close, no plan with an acceptance number up to %d tells them apart",
		r.Good, r.Poor, maximumAccept)
}

func (r Risks) check() error {
	switch {
	case !(r.Poor > 0 && r.Poor < 1):
		return fmt.Errorf("poor defective share %g: must be in (0, 1)", r.Poor)
	case !(r.Good > 0 && r.Good < r.Poor):
		return fmt.Errorf("good defective share %g: must be in (0, %g), below the poor one", r.Good, r.Poor)
	}
	return checkRisks(r.Producer, r.Consumer)
}

func checkRisks(producer, consumer float64) error {
	switch {
	case !(producer > 0 && producer < 1):
		return fmt.Errorf("producer's risk %g: must be in (0, 1)", producer)
	case !(consumer > 0 && consumer < 1-producer):
		return fmt.Errorf("consumer's risk %g: must be in (0, %g), below 1 - producer's risk", consumer, 1-producer)
	}
	return nil
}
