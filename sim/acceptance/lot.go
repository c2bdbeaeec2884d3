package acceptance

import "fmt"

// LotRisks says what a plan must do to a lot of known size: accept it with Good
// defectives with probability 1-Producer at least, and with Poor defectives with
// probability Consumer at most.
type LotRisks struct {
	Lot      int64   // parts in the lot, at least 1
	Good     int64   // defectives of a good lot, in [0, Poor)
	Producer float64 // α, in (0, 1); without misreadings kept by every plan when Good is 0
	Poor     int64   // defectives of a poor lot, in [1, Lot]
	Consumer float64 // β, in (0, 1)
	Misread  Misreadings
}

// SmallestPlanInLot returns the plan of the smallest sample that keeps both risks
// when the sample is drawn without replacement (hypergeometric). The smallest
// sample that finds more than c of the Poor defectives rises with c, so that the
// first c that keeps the producer's risk is the answer.
//
// Inspecting the whole lot finds every defective: without misreadings there always is a
// plan; with them ErrNoPlan says that there is none, up to an acceptance number of 100. Any other
// error names the field out of range.
func SmallestPlanInLot(r LotRisks) (Plan, error) {
	if err := r.check(); err != nil {
		return Plan{}, err
	}
	for accept := int64(0); accept < r.mostAccept(); accept++ {
		plan, err := r.smallest(accept)
		if err != nil {
			return Plan{}, err
		}
		if r.refusal(plan) <= r.Producer {
			return plan, nil
		}
	}
	if r.Misread != (Misreadings{}) {
		return Plan{}, ErrNoPlan
	}
	return Plan{r.Lot, r.Poor - 1}, nil
}

// mostAccept is above all acceptance numbers: as many as a poor lot has defectives are of use
// only where good parts are called defective.
func (r LotRisks) mostAccept() int64 {
	const most = 100 // a gauge that needs more is not worth a search that takes minutes
	if r.Misread.Failed == 0 {
		return r.Poor
	}
	return min(r.Lot, most+1)
}

// SmallestSampleInLot returns the plan of the smallest sample with a given
// acceptance number, in [0, Poor) without misreadings, that keeps the consumer's risk alone; Producer
// and Good may be anything in range. The error is ErrNoPlan where readings
// pass too many defectives, or names the field out of range.
func SmallestSampleInLot(r LotRisks, accept int64) (Plan, error) {
	if err := r.check(); err != nil {
		return Plan{}, err
	}
	if accept < 0 || accept >= r.mostAccept() {
		return Plan{}, fmt.Errorf("acceptance number %d: must be in [0, %d], fewer than the defectives of a poor lot", accept, r.mostAccept()-1)
	}
	return r.smallest(accept)
}

// smallest returns the smallest sample for an acceptance number.
func (r LotRisks) smallest(accept int64) (Plan, error) {
	// Larger samples only lower the probability of acceptance. Halved by hand, because
	// sort.Search counts in int, and a lot may have more parts than one of 32 bits.
	low, high := accept+1, r.Lot
	for low < high {
		middle := low + (high-low)/2
		if r.caught(Plan{middle, accept}) {
			high = middle
		} else {
			low = middle + 1
		}
	}
	if r.Misread != (Misreadings{}) && !r.caught(Plan{low, accept}) {
		return Plan{}, ErrNoPlan
	}
	return Plan{low, accept}, nil
}

// caught reports whether a plan keeps the consumer's risk.
func (r LotRisks) caught(p Plan) bool {
	return p.ProbabilityMisread(r.Lot, r.Poor, r.Misread) <= r.Consumer
}

func (r LotRisks) check() error {
	switch {
	case r.Lot < 1:
		return fmt.Errorf("lot size %d: must be at least 1", r.Lot)
	case r.Poor < 1 || r.Poor > r.Lot:
		return fmt.Errorf("defectives of a poor lot %d: must be in [1, %d], up to the lot size", r.Poor, r.Lot)
	case r.Good < 0 || r.Good >= r.Poor:
		return fmt.Errorf("defectives of a good lot %d: must be in [0, %d], fewer than in a poor one", r.Good, r.Poor-1)
	case !(r.Producer > 0 && r.Producer < 1):
		return fmt.Errorf("producer's risk %g: must be in (0, 1)", r.Producer)
	case !(r.Consumer > 0 && r.Consumer < 1):
		return fmt.Errorf("consumer's risk %g: must be in (0, 1)", r.Consumer)
	}
	return r.Misread.check()
}
