package rare

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

const (
	// heavy is how many times the probability the weight of a failure may be that a
	// centre accounts for. Behind a plane at beta = 5 it is 13 at most; among 1000
	// draws a failure of so much would be a twentieth of the estimate.
	heavy       = 50
	mostCentres = 40
	slack       = 1 // of the squared distance, before the plane through a centre
	// reached is the like for the end of a walk, a share of the squared distance: what
	// lies so near a centre the draws around it find for themselves.
	reached    = 0.3
	bisections = 8 // find an edge to 1/256
	// mostShortened coordinates are shortened one by one.
	mostShortened = 6
)

// explains reports whether a centre accounts for a failure: its weight is fair, or
// it lies behind the plane through a centre, or no more before it than a share of
// the squared distance.
func (a *assessment) explains(u []float64, before float64) bool {
	if a.mixture.weight(u) <= heavy*a.scale {
		return true
	}
	return slices.ContainsFunc(a.mixture.centre[1:], func(c []float64) bool {
		squared := floats.Dot(c, c)
		return floats.Dot(c, u) >= squared-max(slack, before*squared)
	})
}

// unexplained lists the failures that no centre accounts for: each of them might
// carry a good part of the estimate by itself.
func (a *assessment) unexplained(failures []failure, before float64) (list []failure) {
	for _, f := range failures {
		if !a.explains(f.u, before) {
			list = append(list, f)
		}
	}
	return list
}

// explainEnds explains the ends of all walks. Among many variables those end far
// from where failures mostly are, so that not each needs a centre of its own.
func (a *assessment) explainEnds() {
	before := 0.0
	if a.Dim > fewVariables {
		before = reached
	}
	a.explain(a.ends, before)
}

// explain adds centres until every failure belongs to one.
func (a *assessment) explain(failures []failure, before float64) {
	for missed := a.unexplained(failures, before); len(missed) > 0; missed = a.unexplained(missed, before) {
		likeliest := slices.MinFunc(missed, func(f, h failure) int { return cmp.Compare(a.length(f.u), a.length(h.u)) })
		if len(a.centres) >= mostCentres || !a.affords(a.descentCost()) {
			a.cut = true
			return
		}
		if p, ok := a.designPointFrom(likeliest); ok {
			a.addPoint(p)
		}
		// No slope leads from the failure to where it belongs: a jump, or a curve.
		for _, from := range []func(u []float64) []float64{a.bare, a.shadow} {
			if a.explains(likeliest.u, before) {
				break
			}
			if p := a.nearest(from(likeliest.u), likeliest); !isNear(a.centres, p.U) {
				a.addPoint(p)
			}
		}
		if !a.explains(likeliest.u, before) {
			a.cut = true
			return
		}
	}
}

// descentCost bounds the evaluations of a usual descent.
func (a *assessment) descentCost() int { return 6*(len(a.felt)+2) + a.Dim }

func (a *assessment) addPoint(p DesignPoint) {
	a.points, a.centres = append(a.points, p), append(a.centres, p.U)
	if a.pilots == 0 {
		a.scale = max(a.scale, firstOrder(a.points))
	}
	a.mixture = newMixture(a.Dim, a.defensive(), a.centres)
}

// shadow is u with 0 for the variables that are not felt.
func (a *assessment) shadow(u []float64) []float64 {
	at := make([]float64, len(u))
	for _, i := range a.felt {
		at[i] = u[i]
	}
	return at
}

func (a *assessment) length(u []float64) float64 { return floats.Norm(a.shadow(u), 2) }

// designPointFrom searches from a failure for a new design point of an event
// that happens there.
func (a *assessment) designPointFrom(f failure) (DesignPoint, bool) {
	for e, g := range f.g {
		if g <= 0 && !math.IsInf(g, 0) {
			if p, end := a.searches[e].descend(f.u, g, a.points); end == found {
				return p, true
			}
		}
	}
	return DesignPoint{}, false
}

// nearest takes a point that fails towards the origin as far as it goes on failing:
// it shortens it, then its greatest coordinates one by one. Where the limit state
// jumps that ends at the edge. The failure f says which event it is.
func (a *assessment) nearest(u []float64, f failure) DesignPoint {
	at := a.newBatch(1)
	fails := func() bool {
		copy(at.u[0], u)
		a.evaluate(at)
		return at.fails(0)
	}
	long := slices.Clone(u)
	share := bisect(0, 1, func(share float64) bool { floats.ScaleTo(u, share, long); return fails() })
	floats.ScaleTo(u, share, long)
	order := a.byLength(u)
	for _, i := range order[:min(len(order), mostShortened)] {
		long := u[i]
		share := bisect(0, 1, func(share float64) bool { u[i] = share * long; return fails() })
		u[i] = share * long
	}
	p := DesignPoint{U: u, Beta: floats.Norm(u, 2)}
	p.Alpha = floats.ScaleTo(make([]float64, len(u)), 1/p.Beta, u)
	p.Event = slices.IndexFunc(f.g, func(g float64) bool { return g <= 0 })
	return p
}

// byLength lists the coordinates of u that are not 0, greatest first.
func (a *assessment) byLength(u []float64) (order []int) {
	for _, i := range a.felt {
		if u[i] != 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(math.Abs(u[j]), math.Abs(u[i])) })
	return order
}

// bare is a failure with 0 for the coordinates that it fails without: those felt
// that it needs one by one, and of the others the greatest ones that it takes.
func (a *assessment) bare(u []float64) []float64 {
	order := a.byLength(a.shadow(u))
	b := a.newBatch(len(order))
	for row, i := range order {
		copy(b.u[row], u)
		b.u[row][i] = 0
	}
	a.evaluate(b)
	kept := make([]float64, len(u))
	var others []int
	for row, i := range order {
		if b.fails(row) {
			others = append(others, i)
		} else {
			kept[i] = u[i]
		}
	}
	at := b.first(1)
	for with := 0; ; with = 2*with + 1 {
		for _, i := range others[:min(with, len(others))] {
			kept[i] = u[i]
		}
		copy(at.u[0], kept)
		a.evaluate(at)
		if at.fails(0) {
			return kept
		}
		if with >= len(others) {
			return slices.Clone(u) // it needs variables that are not felt
		}
	}
}

// bisect narrows the edge between a safe and a failed share of a distance and
// returns the failed side.
func bisect(safe, failed float64, fails func(share float64) bool) float64 {
	for range bisections {
		if middle := (safe + failed) / 2; fails(middle) {
			failed = middle
		} else {
			safe = middle
		}
	}
	return failed
}
