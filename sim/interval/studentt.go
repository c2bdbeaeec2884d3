package interval

import (
	"fmt"
	"math"
)

// StudentTUpper returns the t that Student's t with nu > 0 degrees of freedom
// exceeds with probability tail, 0 < tail < 1. nu may be real; infinite gives
// the normal quantile. Right to 1e-12 relative for tails from 1e-150 up, as long
// as the result stays below 1e150.
//
// Special cases are:
//
//	StudentTUpper(0.5, nu) = 0
//	StudentTUpper(tail, nu) = -StudentTUpper(1-tail, nu)
func StudentTUpper(tail, nu float64) float64 {
	mustFreedom(nu)
	mustLevel(tail)
	switch {
	case math.IsInf(nu, 1):
		return normalUpper(tail)
	case tail == 0.5:
		return 0
	case tail > 0.5:
		return -StudentTUpper(1-tail, nu)
	}
	// With s = t²/nu, 1/(1+s) is the beta quantile and ln s its negative logit.
	return math.Sqrt(nu * math.Exp(-betaLogit(nu/2, 0.5, 2*tail)))
}

func mustFreedom(nu float64) {
	if !(nu > 0) {
		panic(fmt.Sprintf("interval: %v degrees of freedom", nu))
	}
}
