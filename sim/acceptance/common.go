package acceptance

// CommonPlans returns plans of one sample, the smallest, for defectives of several kinds in a lot, a
// plan for each kind: a lot that is poor by any kind is accepted with its Consumer at most, and one
// with Good of every kind refused with producer at most. That refusal is bounded by the sum of the
// kinds' own (Bonferroni), which is more than it by no more than their product. Producer of the kinds
// is not looked at; their lots are one.
//
// Errors are those of SmallestPlanInLot; ErrNoPlan where a sample of twice the largest that a
// kind takes by itself does not do, by readings that may be wrong.
func CommonPlans(kinds []LotRisks, producer float64) ([]Plan, error) {
	alone, lot := int64(0), int64(0)
	for _, k := range kinds {
		k.Producer = producer
		p, err := SmallestPlanInLot(k)
		if err != nil {
			return nil, err
		}
		alone, lot = max(alone, p.sample), k.Lot
	}
	const few = 1000
	for sample := alone; sample <= min(lot, 2*alone+few); sample++ {
		if plans := ofSample(kinds, producer, sample); plans != nil {
			return plans, nil
		}
	}
	if plans := ofSample(kinds, producer, lot); plans != nil {
		return plans, nil
	}
	return nil, ErrNoPlan
}

// ofSample are the plans of a sample that keep all risks; nil without any.
func ofSample(kinds []LotRisks, producer float64, sample int64) (plans []Plan) {
	refused := 0.0
	for _, k := range kinds {
		p, caught := k.largest(sample)
		if refused += k.refusal(p); !caught || refused > producer {
			return nil
		}
		plans = append(plans, p)
	}
	return plans
}

// largest is the plan of a sample with the largest acceptance number that catches a poor lot,
// which it does with all smaller ones too; caught is false where none does.
func (r LotRisks) largest(sample int64) (p Plan, caught bool) {
	if !r.caught(Plan{sample, 0}) {
		return Plan{sample, 0}, false
	}
	low, high := int64(0), sample
	if r.Misread.Failed == 0 {
		high = min(sample, r.Poor)
	}
	for high-low > 1 {
		if middle := low + (high-low)/2; r.caught(Plan{sample, middle}) {
			low = middle
		} else {
			high = middle
		}
	}
	return Plan{sample, low}, true
}

// refusal is the producer's risk of a plan.
func (r LotRisks) refusal(p Plan) float64 {
	return max(0, 1-p.ProbabilityMisread(r.Lot, r.Good, r.Misread))
}
