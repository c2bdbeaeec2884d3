package decide

import (
	"math"

	"clampodds/dist"
	"clampodds/sim/assurance"
	"clampodds/sim/result"
	"clampodds/sim/strata"
)

// DefaultAccuracy is the half-width of the interval of a mean over the mean.
const DefaultAccuracy = 0.10

func (s *Setup) accuracy() float64 {
	if s.Accuracy > 0 {
		return s.Accuracy
	}
	return DefaultAccuracy
}

// finer is the accuracy over the default, 1 where a coarser one is asked for.
func (s *Setup) finer() float64 { return min(1, s.accuracy()/DefaultAccuracy) }

// atAccuracy is how many rows take the place of those that the default takes, about which
// what decides at one look is planned: more for a finer accuracy, as its inverse square.
func (s *Setup) atAccuracy(rows int64) int64 { return int64(float64(rows) / (s.finer() * s.finer())) }

// finestOfBound is the accuracy down to which the interval of a bound over what is not known narrows as said: a finer one may
// show what its surface leaves out.
const finestOfBound = 0.05

// leastMisfit is what a surface over what is not known leaves out where the rows do not show it, in normal scores:
// seen of one that leaves out nothing.
const leastMisfit = 0.0015

// lastingMisfit is what more rows are not expected to take off: the square that is seen less that of the noise.
func lastingMisfit(u *strata.Unknown) float64 {
	return max(leastMisfit, math.Sqrt(max(0, u.Misfit*u.Misfit-u.MisfitNoise*u.MisfitNoise)))
}

// wider is by how much an interval is taken as wider than the rows say it will be: that of a mean is planned and of new
// rows, that over what is not known comes from few sets of them, and what its surface leaves out is seen in some samples
// and in others not.
const wider = 1.5

// SettledBy returns the coarsest accuracy, in whole percent, that settles a record, found at the accuracy now, with the
// chance of assurance.Wanted, else the finest with what chance it has: that of a bound over what is not known is finestOfBound.
// Where the accuracy now is the finest it has none. It is nil where cards are not what is wanting, and where it cannot be told,
// as of a probability that was never seen.
//
// The error is taken as normal in the normal score of the probability, its variance as one over the rows; of the misfit
// of the surface over what is not known, what noise does not account for stays.
func (r *Record) SettledBy(now, finest float64) *result.Settling {
	e, z, fixed := r.Mean, dist.NormalQuantile((1+r.Mean.Level)/2), 0.
	if e.High <= r.Requirement.Target {
		if r.Unknown == nil {
			return nil
		}
		e, z, fixed = r.Bound, strata.Student(r.Bound.Level), lastingMisfit(r.Unknown)
		finest = max(finest, finestOfBound)
	}
	if r.Want != Cards || !(e.Low > 0 && e.High < 1) {
		return nil
	}
	low, value, high := dist.NormalQuantile(e.Low), dist.NormalQuantile(e.Value), dist.NormalQuantile(e.High)
	return straddling{value - dist.NormalQuantile(r.Requirement.Target), (high - low) / 2, fixed, z}.settledBy(now, finest)
}

// SettledBy is that of a difference and an absolute margin, whose error is taken as normal, or of the design after the change where
// that alone tells of what is not known.
func (r *ChangeRecord) SettledBy(m Margin, now, finest float64) *result.Settling {
	share, amount := m.parts()
	if r.Want == Cards && r.Unknown == nil && r.AtMargin != nil && r.High <= amount {
		return r.AtMargin.SettledBy(now, finest)
	}
	if r.Want != Cards || share != 0 || r.Rows < pairRows/2 { // those of a screen, which the accuracy does not multiply
		return nil
	}
	if r.High > amount {
		return straddling{r.Value - amount, (r.High - r.Low) / 2, 0, dist.NormalQuantile(r.Level)}.settledBy(now, finest)
	}
	if r.Unknown == nil {
		return nil
	}
	e := r.Unknown.Upper
	return straddling{e.Value - amount, (e.High - e.Low) / 2, 0, strata.Student(e.Level)}.settledBy(now, max(finest, finestOfBound))
}

// straddling is an estimate off from a bound that its interval straddles, of that half-width, z times the root of
// the sum of squares of the standard error and of what no rows take off.
type straddling struct{ off, half, fixed, z float64 }

func (s straddling) settledBy(now, finest float64) *result.Settling {
	if !(s.half > 0) {
		return nil
	}
	if now <= finest {
		return &result.Settling{Accuracy: now, Rows: 1}
	}
	standardError := math.Sqrt(max(0, (s.half/s.z)*(s.half/s.z)-s.fixed*s.fixed))
	at := func(accuracy float64) *result.Settling {
		n := (now / accuracy) * (now / accuracy)
		return &result.Settling{Accuracy: accuracy, Rows: n, Chance: assurance.Clear(s.off, standardError, s.fixed, wider*s.z, 1/n)}
	}
	for percent := math.Ceil(100*now) - 1; percent > 100*finest; percent-- {
		if by := at(percent / 100); by.Chance >= assurance.Wanted {
			return by
		}
	}
	return at(finest)
}
