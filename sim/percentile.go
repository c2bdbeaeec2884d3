package sim

import (
	"fmt"
	"math"

	"clampodds/sim/interval"
	"clampodds/sim/result"
)

// percentile estimates the p-quantile, 0 < p < 1, of the finite values of h:
// the value of rank ceil(p n), and the order statistics that bound it, each
// widened to the edge of its bin. The ranks are exact for independent values;
// dependent ones take those of the effective sample size at the estimate,
// carried over as shares of the sample (Woodruff, J. Amer. Statist. Assoc. 47
// (1952) 635).
func percentile(h *Histogram, p float64, l layout) Estimate {
	if !(p > 0 && p < 1) {
		panic(fmt.Sprintf("sim: percentile at %v", p))
	}
	n := h.Finite()
	if n == 0 {
		return noEstimate(l.confidence, math.Inf(-1), math.Inf(1), "order statistics")
	}
	rank := min(max(int64(math.Ceil(p*float64(n))), 1), n)
	at := h.AtRank(rank)
	sums := h.sumsAbove(at.High, l)
	effective, warnings := sums.effective(l.confidence)
	e := Estimate{
		Value: at.Middle(), Level: l.confidence, Count: rank, N: n, EffectiveN: effective,
		Method: "order statistics" + sums.methodSuffix(), Warnings: warnings,
	}
	e.bound(h, p)
	if without := l.rows - n; without > 0 {
		e.warn(WithoutValue, fmt.Sprintf("%d of %d rows have no value and are left out", without, l.rows))
	}
	return e
}

// bound sets the interval of a percentile from the order statistics.
func (e *Estimate) bound(h *Histogram, p float64) {
	e.Low, e.High = math.Inf(-1), math.Inf(1)
	whole := int64(e.EffectiveN)
	if whole < 1 {
		e.warn(EndNotAvailable, "too few independent samples for an interval")
		return
	}
	ranks := interval.OrderStatisticRanks(whole, p, e.Level)
	e.Achieved = ranks.Coverage
	if ranks.LowerAvailable {
		// At least the share of values that lie below the lower order statistic.
		e.Low = h.AtRank(min(scaleRank(ranks.Lower-1, whole, e.N, math.Floor)+1, e.N)).Low
	} else {
		e.warn(EndNotAvailable, fmt.Sprintf("%g independent samples are too few for a lower end", e.EffectiveN))
	}
	if ranks.UpperAvailable {
		e.High = h.AtRank(max(scaleRank(ranks.Upper, whole, e.N, math.Ceil), 1)).High
	} else {
		e.warn(EndNotAvailable, fmt.Sprintf("%g independent samples are too few for an upper end", e.EffectiveN))
	}
}

// scaleRank carries rank of a sample of size from over to one of size to.
func scaleRank(rank, from, to int64, round func(float64) float64) int64 {
	if from == to {
		return rank
	}
	return min(int64(round(float64(rank)/float64(from)*float64(to))), to)
}

// sumsAbove counts the finite values above a threshold, the edge of a bin.
func (h *Histogram) sumsAbove(threshold float64, l layout) clusterSums {
	count, square, cross := h.above(threshold)
	return clusterSums{
		clusters: l.clusters(), count: count, square: square, cross: cross,
		size: uint64(h.Finite()), sizeSquares: h.sizeSquares,
		together: l.rowsPerGroup, replicates: l.replicates,
	}
}

// mean estimates the mean of the finite values: Student's t on the number of
// groups, as if all rows of a group went together and the points of a block
// were no more even than random ones. That is the worst case for random and
// Latin hypercube samples; so the interval may be wider than need be.
func mean(h *Histogram, l layout) Estimate {
	n := h.Finite()
	if n == 0 {
		return noEstimate(l.confidence, math.Inf(-1), math.Inf(1), "Student's t")
	}
	value, deviation := h.MeanStdDev()
	e := Estimate{
		Value: value, Interval: result.Interval{Low: math.Inf(-1), High: math.Inf(1)}, Level: l.confidence, N: n, Count: n,
		EffectiveN: float64(n) / float64(l.rowsPerGroup), Method: "Student's t",
	}
	if e.EffectiveN < 2 {
		e.warn(EndNotAvailable, "too few independent samples for an interval")
		return e
	}
	e.Achieved = l.confidence
	half := interval.StudentTUpper((1-l.confidence)/2, e.EffectiveN-1) * deviation / math.Sqrt(e.EffectiveN)
	e.Low, e.High = value-half-h.width/2, value+half+h.width/2
	return e
}

// Exceedance estimates the probability that a row with a finite value lies above
// a threshold, which is moved to the nearest edge of a bin.
func (q Quantity) Exceedance(threshold float64) Estimate {
	return probability(q.Histogram.sumsAbove(threshold, q.layout), q.layout.confidence)
}
