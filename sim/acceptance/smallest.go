package acceptance

import (
	"fmt"

	"clampodds/sim/interval"
)

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
