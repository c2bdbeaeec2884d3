package interval

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat"
)

// NumericalTolerance returns half a unit of the last of the given significant
// digits (1 or more) of the standard uncertainty u > 0: u is written c x 10^l
// with an integer c of that many digits, and the tolerance is 10^l/2. It has
// the unit of u: u = 0.35 with two digits gives 0.005, with one digit 0.05.
//
// Source: JCGM 101:2008, 7.9.2.
func NumericalTolerance(u float64, digits int) float64 {
	if !(u > 0) || math.IsInf(u, 1) || digits < 1 {
		panic(fmt.Sprintf("interval: no tolerance from u = %v, %d digits", u, digits))
	}
	// Formatting rounds correctly, and carries 0.996 to 1.0.
	_, text, _ := strings.Cut(strconv.FormatFloat(u, 'e', digits-1, 64), "e")
	exponent, _ := strconv.Atoi(text) // always a number by construction
	return math.Pow10(exponent-digits+1) / 2
}

// BlockSize returns the number of trials of one block for a coverage interval
// of probability p: the larger of 10 000 and 100/(1-p). Source: JCGM 101:2008,
// 7.9.4 b.
func BlockSize(p float64) int {
	mustLevel(p)
	return int(min(max(10_000, math.Ceil(100/(1-p)*(1-1e-12))), math.MaxInt32)) // 1-p carries rounding
}

// MinimumPilot is the least number of pilot blocks for NextSize.
const MinimumPilot = 10

// NextSize returns the total number of independent blocks, pilot blocks
// included, whose mean is within tolerance of the truth at the given level:
// max(h1, ceil(s² t²/tolerance²)) with s the standard deviation of the h1 pilot
// estimates and t Student's quantile at (1+level)/2 with h1-1 degrees of
// freedom. Run that many in all and stop: no further look. The block rule of
// JCGM 101, 7.9.4, looks after every block and stops by luck too early.
//
// pilot has at least MinimumPilot estimates, tolerance > 0 in their unit. A
// pilot with a NaN or infinite estimate, or a size beyond 2^53, gives
// math.MaxInt64: no number of blocks is enough. Source: Stein's procedure;
// Wübbeler, Harris, Cox, Elster, Metrologia 47 (2010) 317.
func NextSize(pilot []float64, tolerance, level float64) int64 {
	mustLevel(level)
	count := len(pilot)
	if count < MinimumPilot || !(tolerance > 0) {
		panic(fmt.Sprintf("interval: %d pilot blocks, tolerance %v", count, tolerance))
	}
	half := StudentTUpper((1-level)/2, float64(count-1)) * stat.StdDev(pilot, nil)
	needed := math.Ceil(half / tolerance * (half / tolerance))
	if !(needed < 1<<53) {
		return math.MaxInt64
	}
	return max(int64(count), int64(needed))
}
