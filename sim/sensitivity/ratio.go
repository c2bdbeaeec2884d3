package sensitivity

import (
	"gonum.org/v1/gonum/floats"

	"clampodds/sim/interval"
)

// ratioInterval estimates E[part]/E[whole] from independent replicates of both.
// The jackknife pseudo-values R θ - (R-1) θ_(-r), θ the ratio of the sums, take
// the bias of order 1/R out and are nearly independent: Student's t on them.
// Source: Miller, Biometrika 61 (1974) 1.
func ratioInterval(part, whole []float64, level float64) interval.MeanInterval {
	count := float64(len(part))
	partSum, wholeSum := floats.Sum(part), floats.Sum(whole)
	pseudo := make([]float64, len(part))
	for r := range part {
		without := (partSum - part[r]) / (wholeSum - whole[r])
		pseudo[r] = count*partSum/wholeSum - (count-1)*without
	}
	return interval.Replicates(pseudo, level)
}
