package fit

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Readings pile up at an end where, were a reading as likely there as at each of the pileSteps values beside it, so many would stand there with
// probability pileLevel at most; fewer than pileLeast do not.
const (
	pileSteps = 10
	pileLevel = 5e-4
	pileLeast = 3
)

// piles warns of readings that stand at the largest or the smallest value and hardly beside it, as where a gauge shows no more. In steps above a
// tenth of the standard deviation nothing is said: there a tail ends in a few values anyway.
func (s *Sample) piles() (warnings []Warning) {
	_, step := steps(s.sorted)
	if step > fine*s.sd {
		return nil
	}
	for _, end := range []struct {
		value      float64
		name, sign string
	}{{s.sorted[0], "smallest", "<"}, {s.sorted[len(s.sorted)-1], "largest", ">"}} {
		at, beside := 0, 0
		for _, x := range s.sorted {
			switch distance := math.Abs(x-end.value) / step; {
			case distance < 0.5:
				at++
			case distance < pileSteps+0.5:
				beside++
			}
		}
		// P(binomial of at+beside with 1/(pileSteps+1) >= at)
		if at >= pileLeast && mathext.RegIncBeta(float64(at), float64(beside+1), 1./(pileSteps+1)) < pileLevel {
			warnings = append(warnings, warn(PilesUp, "%d of %d readings stand at the %s value, %.6g, and %d within %d steps of it: if the gauge shows no more there, write them %s%.6g, and they count as bounds",
				at, s.N(), end.name, end.value, beside, pileSteps, end.sign, end.value))
		}
	}
	return warnings
}
