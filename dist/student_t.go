package dist

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// StudentT is the t distribution with dof degrees of freedom, moved to location
// and stretched by scale. CDF, Survival and LogDensity are right to 1e-12
// relative for dof up to 5000 and lose beyond (4e-10 at 1e5);
// quantiles come from a table and are right to 1e-9 of the distance from
// location. Safe for concurrent use.
//
// It is put together from T^2/dof, which is beta-distributed odds with
// alpha = 1/2 and beta = dof/2 (Abramowitz and Stegun 26.7.1 and 26.5.27).
type StudentT struct {
	dof, location, scale float64
	odds                 *tabulated
}

// NewStudentT takes dof (0.5 to 1e5), location (finite) and scale (> 0); other
// input gets a *ParameterError.
func NewStudentT(dof, location, scale float64) (StudentT, error) {
	if err := check("student-t", within("dof", dof, 0.5, 1e5),
		finite("location", location), positive("scale", scale)); err != nil {
		return StudentT{}, err
	}
	return StudentT{dof, location, scale, tabulate(newLogOdds(0.5, dof/2))}, nil
}

func (s StudentT) Quantile(p float64) float64      { return s.location - s.scale*s.exceededBy(p) }
func (s StudentT) UpperQuantile(q float64) float64 { return s.location + s.scale*s.exceededBy(q) }

// exceededBy is the t of the unit distribution with upper tail q: 2q is the
// upper tail of t^2 where t > 0, and 1-2q its lower tail near the middle.
func (s StudentT) exceededBy(q float64) float64 {
	sign := 1.0
	if q > 0.5 {
		sign, q = -1, 1-q
	}
	if q > 0.25 {
		return sign * s.size(s.odds.lowerQuantile(2*(0.5-q)))
	}
	return sign * s.size(s.odds.upperQuantile(2*q))
}

func (s StudentT) size(logOdds float64) float64 { return math.Sqrt(s.dof) * math.Exp(logOdds/2) }
func (s StudentT) CDF(x float64) float64        { return s.survival(-s.unit(x)) }
func (s StudentT) Survival(x float64) float64   { return s.survival(s.unit(x)) }

func (s StudentT) unit(x float64) float64 { return (x - s.location) / s.scale }

// survival is half the tail of t^2 on each side; near the middle it is taken
// from there, as dof/(dof+t^2) would round to 1.
func (s StudentT) survival(t float64) float64 {
	square := t * t
	if square < 1 {
		return 0.5 - math.Copysign(0.5*mathext.RegIncBeta(0.5, s.dof/2, square/(s.dof+square)), t)
	}
	tail := 0.5 * mathext.RegIncBeta(s.dof/2, 0.5, s.dof/(s.dof+square))
	if t < 0 {
		return 1 - tail // at least 1/2: nothing is lost
	}
	return tail
}

func (s StudentT) LogDensity(x float64) float64 {
	t := s.unit(x)
	return -0.5*(s.dof+1)*math.Log1p(t*t/s.dof) - mathext.Lbeta(0.5, s.dof/2) -
		0.5*math.Log(s.dof) - math.Log(s.scale)
}

// Mean returns location, NaN for dof <= 1.
func (s StudentT) Mean() float64 {
	if s.dof <= 1 {
		return math.NaN()
	}
	return s.location
}

// StdDev returns scale sqrt(dof/(dof-2)), +Inf for 1 < dof <= 2 and NaN below.
func (s StudentT) StdDev() float64 {
	switch {
	case s.dof <= 1:
		return math.NaN()
	case s.dof <= 2:
		return math.Inf(1)
	}
	return s.scale * math.Sqrt(s.dof/(s.dof-2))
}

func (s StudentT) Support() (low, high float64) { return math.Inf(-1), math.Inf(1) }
