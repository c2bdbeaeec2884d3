package fit

import (
	"math"

	"clampodds/dist"
)

// studentUncertainty is that of complete normal readings: the next value is
// mean + s sqrt(1+1/n) t with n-1 degrees of freedom. The bound of a tail
// probability comes from the grid.
type studentUncertainty struct {
	uncertainty
	n, mean, sd float64
}

func (s studentUncertainty) predictive() (dist.Distribution, error) {
	return student(s.n, s.mean, s.sd)
}

func (s studentUncertainty) beyond(limit float64, above bool) float64 {
	return tail(dist.Must(s.predictive()), limit, above) // the sample has a spread
}

// student is the next normal value after n with the given mean and standard
// deviation (n-1). With very many readings it is the normal distribution, from
// which it can no longer be told.
func student(n, mean, sd float64) (dist.Distribution, error) {
	scale := sd * math.Sqrt(1+1/n)
	if n > 1e5 { // the most degrees of freedom dist.NewStudentT takes
		return dist.NewNormal(mean, scale)
	}
	return dist.NewStudentT(n-1, mean, scale)
}
