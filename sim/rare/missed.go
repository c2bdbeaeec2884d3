package rare

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

const (
	missedShare = 0.1 // of the failures uncovered, for another round
	// Around a design point the weights are at most exp(-beta²/2) over its share, some
	// 13 times the probability at beta = 5: a failure of a weight so many times it is
	// two standard deviations away from any centre.
	heavy     = 100
	mostAdded = 4 // centres in one round
)

// addCentres looks for failures of the subset simulation that no centre covers
// and adds centres for them: the design point that a search from one of them
// finds, or else the middle of those on its side. It reports whether it added any.
func (a *assessment) addCentres() bool {
	var missed [][]float64
	for _, u := range a.subset.failures {
		if a.mixture.defensive(u) > 0.5 || a.mixture.weight(u) > heavy*a.importance.Union.Value {
			missed = append(missed, u)
		}
	}
	share := float64(len(missed)) / float64(len(a.subset.failures))
	crudely := a.mixture.share[0] > 0.5 && a.importance.sound()
	left := a.Evaluations - a.used
	if crudely || !(share > missedShare) || left < 2*fewestDraws {
		return false
	}
	a.allow(left / 2) // the rest is for the draws
	before := len(a.points) + len(a.middles)
	for tries := 0; len(missed) > 0 && tries < mostAdded; tries++ {
		likeliest := slices.MinFunc(missed, func(u, v []float64) int {
			return cmp.Compare(floats.Norm(u, 2), floats.Norm(v, 2))
		})
		p, ok := a.designPointFrom(likeliest)
		if ok {
			a.points = append(a.points, p)
		} else if p, ok = middle(missed, likeliest); ok {
			a.middles = append(a.middles, p)
		} else {
			break
		}
		missed = slices.DeleteFunc(missed, func(u []float64) bool { return p.covers(u) || &u[0] == &likeliest[0] })
	}
	added := len(a.points) + len(a.middles) - before
	if added > 0 {
		a.warnings = append(a.warnings, warn(DesignPointMissed,
			"%.0f %% of the failures of the subset simulation lay away from every design point: %d centres added", 100*share, added))
	}
	return added > 0
}

// designPointFrom searches from a failure for a new design point of an event
// that happens there.
func (a *assessment) designPointFrom(u []float64) (DesignPoint, bool) {
	at := a.newBatch(1)
	copy(at.u[0], u)
	a.evaluate(at)
	for e := range at.g {
		if g := at.g[e][0]; g <= 0 {
			if p, end := a.newSearch(e).descend(u, g, a.points); end == found {
				return p, true
			}
		}
	}
	return DesignPoint{}, false
}

// middle makes a centre of the mean of the failures on the side of one of them:
// the mean is where a unit normal covers them best (the cross-entropy method).
// Coordinates that do not differ from 0 by three standard errors are noise of
// variables without influence and stay 0.
func middle(failures [][]float64, side []float64) (DesignPoint, bool) {
	var group [][]float64
	for _, u := range failures {
		if floats.Dot(u, side) > 0 {
			group = append(group, u)
		}
	}
	centre := make([]float64, len(side))
	values := make([]float64, len(group))
	for i := range centre {
		for k, u := range group {
			values[k] = u[i]
		}
		mean, deviation := stat.MeanStdDev(values, nil)
		if math.Abs(mean) > 3*stat.StdErr(deviation, float64(len(group))) {
			centre[i] = mean
		}
	}
	length := floats.Norm(centre, 2)
	alpha := floats.ScaleTo(make([]float64, len(centre)), 1/length, centre)
	return DesignPoint{U: centre, Beta: length, Alpha: alpha}, length >= 1
}

// covers reports whether u is nearer to the point than to the origin.
func (d DesignPoint) covers(u []float64) bool { return floats.Dot(u, d.U) > d.Beta*d.Beta/2 }
