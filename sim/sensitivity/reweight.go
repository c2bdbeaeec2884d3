package sensitivity

import (
	"fmt"
	"math"

	"clampodds/dist"
)

// HeavierTailError says that the new distribution has more tail than the samples
// of the old one can speak for: its support reaches beyond the old one's, or
// the second moment of the weights grows without end towards a tail.
type HeavierTailError struct {
	Upper bool // which tail
}

func (e *HeavierTailError) Error() string {
	tail := "lower"
	if e.Upper {
		tail = "upper"
	}
	return fmt.Sprintf("the new distribution has a heavier %s tail than the one sampled: run it instead", tail)
}

// Ratio returns the function f_to(x)/f_from(x), by which a row sampled with an
// input from the one distribution counts under the other. Inputs must be
// independent: changing one at fixed copula changes more than its density. The
// ratios of several changed inputs multiply.
//
// A *HeavierTailError refuses a support that reaches beyond the one sampled, and
// distributions whose weights would have no finite variance: in a tail without
// end, the integrand f_to²/f_from must fall from the 1e-6 to the 1e-12 point of
// the sampled distribution.
func Ratio(from, to dist.Distribution) (func(x float64) float64, error) {
	fromLow, fromHigh := from.Support()
	toLow, toHigh := to.Support()
	// ln of f_to²/f_from, per unit of ln|x - mean|.
	logIntegrand := func(x float64) float64 {
		return 2*to.LogDensity(x) - from.LogDensity(x) + math.Log(math.Abs(x-from.Mean()))
	}
	grows := func(end, near, far float64) bool {
		return math.IsInf(end, 0) && logIntegrand(far) > logIntegrand(near)
	}
	if toLow < fromLow || grows(fromLow, from.Quantile(1e-6), from.Quantile(1e-12)) {
		return nil, &HeavierTailError{Upper: false}
	}
	if toHigh > fromHigh || grows(fromHigh, from.UpperQuantile(1e-6), from.UpperQuantile(1e-12)) {
		return nil, &HeavierTailError{Upper: true}
	}
	return func(x float64) float64 { return math.Exp(to.LogDensity(x) - from.LogDensity(x)) }, nil
}

// Reweight estimates the failure probability under changed distributions from
// independent rows sampled under others: mean of I w, where weights holds the
// weight of every failing row (the product of its Ratios, and of its importance
// weight if it has one) and rows the number of all rows. level in (0, 1).
//
// A *TooFewError refuses an effective number of failures (Σw)²/Σw² below
// LeastEffective. Source: Beckman & McKay, Technometrics 29 (1987) 153; Lemaître
// et al., J. Stat. Comput. Simul. 85 (2015) 1200.
func Reweight(weights []float64, rows int64, level float64) (Estimate, error) {
	return failureMean(len(weights), rows, level, func(i int) float64 { return weights[i] }, func(int) float64 { return 1 })
}
