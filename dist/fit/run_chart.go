package fit

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"clampodds/dist"
)

// RunChart says whether readings in the order they were taken come from one
// stable process: an individuals chart with limits from the moving range
// (NIST/SEMATECH e-Handbook 6.3.2.2), and a test of the runs above and below the
// median (e-Handbook 1.3.5.13).
type RunChart struct {
	Centre, Lower, Upper float64 // mean -+ 3 Sigma
	// Sigma is the mean moving range over d2 = 2/sqrt(pi): the short-term
	// standard deviation, blind to drift.
	Sigma  float64
	Beyond []int // indexes of readings outside the limits
	// Runs is the number of runs, ExpectedRuns what chance gives, RunsZ the
	// difference in standard deviations: far below 0 for drift and jumps, far
	// above for a saw-tooth.
	Runs                int
	ExpectedRuns, RunsZ float64
	// PBeyond is the probability of as many readings outside the limits or of one
	// as far out, PRuns of a |RunsZ| as large, in a stable normal process.
	PBeyond, PRuns float64
	// Stable is false when PBeyond or PRuns is below 0.005: false alarm in about
	// one stable series out of a hundred.
	Stable   bool
	Warnings []Warning
}

// d2 is the mean range of two standard normal values.
var d2 = 2 / math.Sqrt(math.Pi)

const alarm = 0.005

// RunChart judges the readings as they stand. A reading equal to the median
// belongs to the run before it; at the start it is left out of the runs.
func (s *Sample) RunChart() RunChart {
	values := s.data.Values
	c := RunChart{Centre: s.mean, Sigma: movingRange(values) / d2}
	c.Lower, c.Upper = c.Centre-3*c.Sigma, c.Centre+3*c.Sigma
	for i, x := range values {
		if x < c.Lower || x > c.Upper {
			c.Beyond = append(c.Beyond, i)
		}
	}
	c.PBeyond = c.chance(values)
	c.countRuns(values, quantileOf(s.sorted, 0.5))
	c.Stable = c.PBeyond >= alarm && c.PRuns >= alarm
	if !c.Stable {
		c.Warnings = append(c.Warnings, warn(NotStable,
			"the process was not stable: %d readings outside mean -+ 3 sigma, %d runs about the median where %.0f are expected (z = %.1f)",
			len(c.Beyond), c.Runs, c.ExpectedRuns, c.RunsZ))
	}
	return c
}

// chance is the probability of so many readings outside the limits or of one so
// far out, twice the smaller of both. Sigma is itself uncertain: distances from
// the centre are taken as Student's t.
func (c *RunChart) chance(values []float64) float64 {
	if len(c.Beyond) == 0 {
		return 1
	}
	n := float64(len(values))
	t := distuv.StudentsT{Sigma: 1, Nu: movingRangeFreedom(len(values))}
	many := distuv.Binomial{N: n, P: 2 * t.Survival(3)}.Survival(float64(len(c.Beyond)) - 1)
	farthest := 0.0
	for _, i := range c.Beyond {
		farthest = math.Max(farthest, math.Abs(values[i]-c.Centre)/c.Sigma)
	}
	far := -math.Expm1(n * math.Log1p(-2*t.Survival(farthest)))
	return math.Min(2*math.Min(many, far), 1)
}

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

func (c *RunChart) countRuns(values []float64, median float64) {
	side, above, below := 0, 0.0, 0.0
	for _, x := range values {
		before := side
		switch {
		case x > median:
			side = 1
		case x < median:
			side = -1
		}
		if side != before {
			c.Runs++
		}
		switch side {
		case 1:
			above++
		case -1:
			below++
		}
	}
	c.ExpectedRuns, c.RunsZ = runsScore(c.Runs, above, below)
	c.PRuns = 2 * dist.NormalSurvival(math.Abs(c.RunsZ))
}

// runsScore: with n1 readings above and n2 below, mu = 2 n1 n2/n + 1 runs are
// expected with variance (mu-1)(mu-2)/(n-1).
func runsScore(runs int, above, below float64) (expected, z float64) {
	n := above + below
	expected = 2*above*below/n + 1
	if variance := (expected - 1) * (expected - 2) / (n - 1); variance > 0 {
		z = (float64(runs) - expected) / math.Sqrt(variance)
	}
	return expected, z
}
