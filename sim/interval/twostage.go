package interval

import (
	"fmt"
	"math"
	"strconv"
	"strings"
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
