package rare

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

const (
	cliffFall  = 0.2 // of the limit state at the origin, along an axis
	cliffEarly = 0.2 // of that fall on the nearer half of the way; a parabola has a quarter
	mostCliffs = 8
	cliffRows  = 400 // evaluations that looking for them may take
)

// cliffs finds where the limit state falls suddenly far out on an axis and stays
// level beyond, as when a torque reaches zero: no slope leads there, and half of
// what lies beyond may fail without the axis itself. The points on the edges are
// centres to sample around; they need not fail.
func (a *assessment) cliffs(s screen) (edges []DesignPoint) {
	if s.fails(0) {
		return nil
	}
	a.allow(cliffRows)
	at := a.newBatch(1)
	fall := func(row, e int, share float64) float64 {
		floats.ScaleTo(at.u[0], share, s.u[row])
		a.evaluate(at)
		return s.g[e][0] - at.g[e][0]
	}
	for _, row := range s.groups[2] {
		e, whole := steepest(s, row)
		if !(whole > cliffFall*s.g[e][0]) || !a.affords(1+bisections) || fall(row, e, 0.5) > cliffEarly*whole {
			continue
		}
		share := bisect(0.5, 1, func(share float64) bool { return fall(row, e, share) > whole/2 })
		p := edgePoint(s, row, share)
		p.Event = e
		edges = append(edges, p)
	}
	slices.SortStableFunc(edges, func(p, q DesignPoint) int { return cmp.Compare(p.Beta, q.Beta) })
	return edges[:min(len(edges), mostCliffs)]
}

// steepest is the event whose limit state falls most between the origin and a row,
// in shares of what it is at the origin, and its fall.
func steepest(s screen, row int) (event int, fall float64) {
	most := math.Inf(-1)
	for e, g := range s.g {
		if share := (g[0] - g[row]) / g[0]; g[0] > 0 && share > most && !math.IsInf(g[row], 0) && !math.IsInf(g[0], 0) {
			event, fall, most = e, g[0]-g[row], share
		}
	}
	return event, fall
}
