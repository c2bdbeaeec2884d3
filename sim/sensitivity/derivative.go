package sensitivity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mathext"

	"clampodds/sim/interval"
	"clampodds/sim/result"
)

// Estimate is a value estimated from the failures among independent rows.
type Estimate struct {
	Value, StandardError float64
	result.Interval      // central-limit
	Level                float64
	Effective            float64 // effective number of failures, (Σw)²/Σw²
}

// LeastEffective is the effective number of failures below which Derivative
// refuses: the central limit cannot be trusted with fewer.
const LeastEffective = 50

// TooFewError says that the effective number of failures is below
// LeastEffective.
type TooFewError struct{ Effective float64 }

func (e *TooFewError) Error() string {
	return fmt.Sprintf("the failures seen count for %.3g independent ones: at least %d are needed", e.Effective, LeastEffective)
}

// Derivative estimates dP/dθ = E[I w score] of a failure probability from rows
// independent of one another: scores holds the score of every failing row
// (Score.Shift for the mean, Score.Stretch for the standard deviation), weights
// its importance weight (nil for plain sampling), rows the number of all rows,
// failing or not. level in (0, 1) is the confidence of the interval.
//
// The result is per unit of θ. For rows of one Latin hypercube or scrambled net
// call it per replicate for the value and take interval.Replicates of the
// values. A *TooFewError refuses too few failures. Lengths that differ, more
// failures than rows and a level out of range panic.
//
// Source: Rubinstein 1986; Song, Lu & Qiao, Reliab. Eng. Syst. Saf. 94 (2009)
// 658.
func Derivative(scores, weights []float64, rows int64, level float64) (Estimate, error) {
	if weights != nil && len(weights) != len(scores) {
		panic("sensitivity: as many weights as scores are needed")
	}
	weight := func(i int) float64 {
		if weights == nil {
			return 1
		}
		return weights[i]
	}
	return failureMean(len(scores), rows, level, weight, func(i int) float64 { return scores[i] })
}

// failureMean returns the mean over all rows of weight x value, which is 0 in
// rows that do not fail.
func failureMean(failures int, rows int64, level float64, weight, value func(i int) float64) (Estimate, error) {
	if int64(failures) > rows || rows < 1 || !(level > 0 && level < 1) {
		panic(fmt.Sprintf("sensitivity: %d failures of %d rows at level %v", failures, rows, level))
	}
	var weights, squares, sum float64
	for i := range failures {
		w := weight(i)
		weights += w
		squares += w * w
		sum += w * value(i)
	}
	e := Estimate{Level: level}
	if squares > 0 {
		e.Effective = weights * weights / squares
	}
	if !(e.Effective >= LeastEffective) {
		return Estimate{}, &TooFewError{e.Effective}
	}
	n := float64(rows)
	e.Value = sum / n
	// Σ (v - mean)² over all rows, the rows - failures zeros included.
	deviations := (n - float64(failures)) * e.Value * e.Value
	for i := range failures {
		d := weight(i)*value(i) - e.Value
		deviations += d * d
	}
	e.StandardError = math.Sqrt(deviations / n / (n - 1))
	half := -mathext.NormalQuantile((1-level)/2) * e.StandardError
	e.Low, e.High = e.Value-half, e.Value+half
	return e, nil
}

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
