package decide

import (
	"math"

	"clampodds/dist"
	"clampodds/sim/assurance"
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

// Settling is the accuracy that is expected to settle what is open for want of cards.
type Settling struct {
	Accuracy float64
	// Rows is by how much that multiplies them, Chance that the verdict is then clear, or open
	// for want of knowledge.
	Rows, Chance float64
}

// leastMisfit is what a surface over what is not known leaves out where the rows do not show it, in normal scores:
// seen of one that leaves out nothing.
const leastMisfit = 0.0015

// wider is by how much an interval is taken as wider than the rows say it will be: that of a mean is planned and of new
// rows, that over what is not known comes from few sets of them, and what its surface leaves out is seen in some samples
// and in others not.
const wider = 1.5

// SettledBy returns the coarsest accuracy, in whole percent, that settles a record, found at the accuracy now, with the
// chance of assurance.Wanted, else the finest with what chance it has. It is nil where cards are not what is wanting,
// where it cannot be told, as of a probability that was never seen, or where the accuracy now is the
// finest.
//
// The error is taken as normal in the normal score of the probability, its variance as one over the rows; the misfit
// of the surface over what is not known stays.
func (r *Record) SettledBy(now, finest float64) *Settling {
	e, z, fixed := r.Mean, dist.NormalQuantile((1+r.Mean.Level)/2), 0.
	if e.High <= r.Requirement.Target {
		if r.Unknown == nil {
			return nil
		}
		e, z, fixed = r.Bound, r.Unknown.Student(), max(leastMisfit, r.Unknown.Misfit)
	}
	if r.Want != Cards || !(e.Low > 0 && e.High < 1) || now <= finest {
		return nil
	}
	off := dist.NormalQuantile(e.Value) - dist.NormalQuantile(r.Requirement.Target)
	standardError := (dist.NormalQuantile(e.High) - dist.NormalQuantile(e.Low)) / 2 / z
	standardError = math.Sqrt(max(0, standardError*standardError-fixed*fixed))
	z *= wider
	at := func(accuracy float64) Settling {
		n := (now / accuracy) * (now / accuracy)
		return Settling{accuracy, n, assurance.Clear(off, standardError, fixed, z, 1/n)}
	}
	for percent := math.Ceil(100*now) - 1; percent > 100*finest; percent-- {
		if s := at(percent / 100); s.Chance >= assurance.Wanted {
			return &s
		}
	}
	s := at(finest)
	return &s
}
