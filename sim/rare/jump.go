package rare

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/floats"
)

const (
	mostJumps   = 16 // rows of the screen looked at
	bisections  = 8  // find an edge to 1/256
	mostCentres = 8
)

// jumps finds the edge of the failure domain towards those failures of the screen
// that no design point covers: no slope led there, so that the limit state jumps.
// The points are the nearest failures on the rays from the origin, which must be
// safe itself.
func (a *assessment) jumps(s screen, points []DesignPoint) []DesignPoint {
	covered := func(u []float64) bool {
		return slices.ContainsFunc(points, func(p DesignPoint) bool { return p.covers(u) })
	}
	var edges []DesignPoint
	edge := a.newBatch(1)
	for _, row := range slices.Concat(s.groups[2], s.groups[1]) {
		if s.fails(0) || len(edges) == mostJumps || !a.affords(bisections) {
			break
		}
		if !s.fails(row) || covered(s.u[row]) {
			continue
		}
		share := bisect(0, 1, func(share float64) bool {
			floats.ScaleTo(edge.u[0], share, s.u[row])
			a.evaluate(edge)
			return edge.fails(0)
		})
		edges = append(edges, edgePoint(s, row, share))
	}
	// Nearest first: a nearer edge covers farther ones behind it.
	slices.SortStableFunc(edges, func(p, q DesignPoint) int { return cmp.Compare(p.Beta, q.Beta) })
	first := len(points)
	for _, p := range edges {
		if !covered(p.U) && len(points) < first+mostCentres {
			points = append(points, p)
		}
	}
	return points[first:]
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

// edgePoint is the point at the share of the row's distance. The row's first
// failed event stands for it.
func edgePoint(s screen, row int, share float64) DesignPoint {
	u := floats.ScaleTo(make([]float64, len(s.u[row])), share, s.u[row])
	p := DesignPoint{U: u, Beta: floats.Norm(u, 2)}
	p.Alpha = floats.ScaleTo(make([]float64, len(u)), 1/p.Beta, u)
	p.Event = slices.IndexFunc(s.g, func(g []float64) bool { return g[row] <= 0 })
	return p
}
