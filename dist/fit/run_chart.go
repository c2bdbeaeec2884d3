package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/combin"

	"clampodds/dist"
	"clampodds/sim/result"
)

// RunChart says whether readings in the order they were taken come from one
// stable process: an individuals chart, and a test of the runs above and below
// the median (NIST/SEMATECH e-Handbook 1.3.5.13).
//
// The limits of the chart are quantiles of the fitted family, so far out that
// together both call a stable series not stable with probability Significance at
// most. The runs get half of it; what they cannot use, since runs are whole
// numbers, goes to the limits. Order and values of a stable series are
// independent, so that the rates multiply exactly.
type RunChart struct {
	Significance float64
	// Reason says why there are no limits. Under the uniform family the runs are there
	// all the same, else the rest is empty.
	Reason               string
	Centre, Lower, Upper float64 // the fitted median, and the limits
	// Sigma is the mean moving range over d2 = 2/sqrt(pi): the short-term
	// standard deviation, blind to drift.
	Sigma  float64
	Beyond []int // indexes of readings outside the limits
	// Runs is the number of runs of the readings that are not equal to the median,
	// ExpectedRuns what chance gives, RunsZ the difference in standard deviations:
	// far below 0 for drift and jumps, far above for a saw-tooth.
	Runs                int
	ExpectedRuns, RunsZ float64
	// PBeyond is the probability of a reading as far out, PRuns of as unusual a
	// number of runs, in a stable process.
	PBeyond, PRuns float64
	// RunsLevel and BeyondLevel are what PRuns and PBeyond are held against.
	RunsLevel, BeyondLevel float64
	Stable                 bool
	Warnings               []Warning
}

// d2 is the mean range of two standard normal values.
var d2 = 2 / math.Sqrt(math.Pi)

// ofRuns holds the runs against a level and says what is left of Significance for
// the limits.
func (c *RunChart) ofRuns(s *Sample, level float64) {
	r := countRuns(s.data.Values, quantileOf(s.sorted, 0.5))
	c.Runs, c.RunsLevel = r.count, level
	c.ExpectedRuns, c.RunsZ = r.score()
	var size float64
	c.PRuns, size = r.test(level)
	c.BeyondLevel = 1 - (1-c.Significance)/(1-size)
}

// ofLimits fills in the chart. Readings outside the limits are those whose level
// is below the threshold.
func (c *RunChart) ofLimits(s *Sample, y yardstick, threshold float64) {
	scaled := y.onScale(s.data.Values)
	limits := y.limits(scaled, threshold)
	c.Lower, c.Upper = limits.Low, limits.High
	for i, x := range s.data.Values {
		if x < c.Lower || x > c.Upper {
			c.Beyond = append(c.Beyond, i)
		}
	}
}

func (c *RunChart) judge() {
	c.Stable = c.PRuns > c.RunsLevel && len(c.Beyond) == 0
	if c.Stable {
		return
	}
	outside := fmt.Sprintf("readings outside the limits of the run chart: %d; ", len(c.Beyond))
	if c.Reason != "" {
		outside = ""
	}
	c.Warnings = append(c.Warnings, result.Warn(NotStable,
		"the process was not stable: %s%d runs about the median where %.0f are expected (p = %.2g); of stable ones %.0f in 100 at most are called so",
		outside, c.Runs, c.ExpectedRuns, c.PRuns, 100*c.Significance))
}

// shortTerm is the standard deviation from the mean moving range.
func (s *Sample) shortTerm() float64 { return movingRange(s.data.Values) / d2 }

// movingRangeFreedom is what the mean moving range of n readings is worth in
// degrees of freedom: its efficiency is 0.605 (Cryer and Ryan, J. Qual. Technol.
// 22 (1990) 187, from memory).
func movingRangeFreedom(n int) float64 { return 0.605 * float64(n-1) }

func movingRange(values []float64) float64 {
	sum := 0.0
	for i := 1; i < len(values); i++ {
		sum += math.Abs(values[i] - values[i-1])
	}
	return sum / float64(len(values)-1)
}

// runs counts the runs above and below the median of readings in their order.
// Readings equal to the median are left out: they have no side.
type runs struct{ count, above, below int }

func countRuns(values []float64, median float64) (r runs) {
	before := 0.0
	for _, x := range values {
		if x == median {
			continue
		}
		side := math.Copysign(1, x-median)
		if side > 0 {
			r.above++
		} else {
			r.below++
		}
		if side != before {
			r.count++
		}
		before = side
	}
	return r
}

// score: with n1 readings above and n2 below, mu = 2 n1 n2/n + 1 runs are expected
// with variance (mu-1)(mu-2)/(n-1) (NIST/SEMATECH e-Handbook 1.3.5.13).
func (r runs) score() (expected, z float64) {
	n := float64(r.above + r.below)
	expected = 2*float64(r.above)*float64(r.below)/n + 1
	if variance := (expected - 1) * (expected - 2) / (n - 1); variance > 0 {
		z = (float64(r.count) - expected) / math.Sqrt(variance)
	}
	return expected, z
}

// exactRuns is the most readings for which probabilities are exact.
const exactRuns = 5000

// distribution of the number of runs given how many are above and below: all orders
// are alike. With n1 and n2 of them there are 2k runs in 2 C(n1-1,k-1) C(n2-1,k-1)
// and 2k+1 in C(n1-1,k) C(n2-1,k-1) + C(n1-1,k-1) C(n2-1,k) of C(n1+n2,n1) orders
// (Wald and Wolfowitz, Ann. Math. Statist. 11 (1940) 147). Element i is that of i runs.
func (r runs) distribution() []float64 {
	p := make([]float64, r.above+r.below+1)
	all := logChoose(r.above+r.below, r.above)
	share := func(i, j int) float64 {
		return math.Exp(logChoose(r.above-1, i) + logChoose(r.below-1, j) - all)
	}
	for count := range p {
		if k := count / 2; count >= 2 && count%2 == 0 {
			p[count] = 2 * share(k-1, k-1)
		} else if count >= 3 {
			p[count] = share(k, k-1) + share(k-1, k)
		}
	}
	return p
}

// logChoose is ln C(n, k), -Inf where there is no such choice.
func logChoose(n, k int) float64 {
	if k < 0 || k > n {
		return math.Inf(-1)
	}
	return combin.LogGeneralizedBinomial(float64(n), float64(k))
}

// test is the two-sided p of the runs, twice the smaller tail, and the size that a test
// at a level has: the probability that p <= level, which is less than the level because
// runs are whole numbers.
func (r runs) test(level float64) (p, size float64) {
	if r.above == 0 || r.below == 0 {
		return 1, 0
	}
	if r.above+r.below > exactRuns {
		_, z := r.score()
		return 2 * dist.NormalSurvival(math.Abs(z)), level
	}
	probability := r.distribution()
	below, above := make([]float64, len(probability)), make([]float64, len(probability)+1)
	sum := 0.0
	for i, q := range probability {
		sum += q
		below[i] = sum
	}
	for i := len(probability) - 1; i >= 0; i-- {
		above[i] = above[i+1] + probability[i]
	}
	twoSided := func(i int) float64 { return math.Min(1, 2*math.Min(below[i], above[i])) }
	for i, q := range probability {
		if twoSided(i) <= level {
			size += q
		}
	}
	return twoSided(r.count), size
}
