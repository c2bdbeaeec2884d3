package acceptance

import (
	"fmt"

	"gonum.org/v1/gonum/stat/distuv"

	"clampodds/sim/interval"
)

// Misreadings says how often a reading is wrong about a part, each part by itself. The zero
// value is a gauge without error.
type Misreadings struct {
	Passed float64 // a defective part reads as good, in [0, 1)
	Failed float64 // a good part reads as defective, in [0, 1)
}

// ProbabilityMisread is ProbabilityInLot where parts are judged by readings that may be
// wrong, to 1e-14. It panics as that does.
func (p Plan) ProbabilityMisread(lot, defectives int64, m Misreadings) float64 {
	if m == (Misreadings{}) {
		return p.ProbabilityInLot(lot, defectives)
	}
	p.mustFit(lot, defectives)
	return hypergeometricMean(p.sample, lot, defectives, 1e-18, func(drawn int64) float64 { return p.accepted(drawn, m) })
}

// accepted returns the probability that at most c parts read as defective when so many
// drawn are: those found among them and the good ones read as defective together.
func (p Plan) accepted(drawn int64, m Misreadings) float64 {
	good, sum := p.sample-drawn, 0.0
	failed := distuv.Binomial{N: float64(good), P: m.Failed}
	for x := int64(0); x <= min(p.accept, good); x++ {
		weight := 1.0
		if m.Failed > 0 {
			weight = failed.Prob(float64(x))
		} else if x > 0 {
			break
		}
		found := 1.0
		if drawn > 0 {
			found, _ = interval.BinomialTails(p.accept-x, drawn, 1-m.Passed)
		}
		sum += weight * found
	}
	return sum
}

func (m Misreadings) check() error {
	if !(m.Passed >= 0 && m.Passed < 1 && m.Failed >= 0 && m.Failed < 1) {
		return fmt.Errorf("misreadings %g and %g: must be in [0, 1)", m.Passed, m.Failed)
	}
	return nil
}
