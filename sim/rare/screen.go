package rare

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// screenRadius is how far from the origin the ring and the axis points lie, in
// standard deviations: near the design points of the probabilities this package
// is for (Phi(-5) = 3e-7).
const screenRadius = 5

// mostStarts bounds the starts listed for one event.
const mostStarts = 30

// screen holds the first look at a problem: the origin, crude draws, points in
// random directions at a fixed radius, and each axis on both sides.
type screen struct {
	batch
	groups [][]int // rows of the crude, ring and axis groups
}

func newScreen(m *meter, stream Stream, crude, ring int) screen {
	s := screen{batch: m.newBatch(1 + crude + ring + 2*m.Dim), groups: make([][]int, 3)}
	random := stream("rare/screen", 0)
	for row := 1; row < len(s.u); row++ {
		u := s.u[row]
		switch axis := row - 1 - crude - ring; {
		case axis >= 0:
			u[axis/2] = screenRadius * float64(1-2*(axis%2))
			s.groups[2] = append(s.groups[2], row)
			continue
		case row <= crude:
			s.groups[0] = append(s.groups[0], row)
		default:
			s.groups[1] = append(s.groups[1], row)
		}
		for i := range u {
			u[i] = random.NormFloat64()
		}
		if row > crude {
			floats.Scale(screenRadius/floats.Norm(u, 2), u)
		}
	}
	m.evaluate(s.batch)
	return s
}

// starts lists rows from which to search a design point of event e: nearer to
// the far side of the limit state than the origin is, the best of each group in
// turn, no two within 30 degrees of each other.
func (s screen) starts(e int) (rows []int) {
	g, side := s.g[e], 1.0
	if g[0] <= 0 {
		side = -1
	}
	queues := make([][]int, len(s.groups))
	for k, group := range s.groups {
		for _, row := range group {
			if !math.IsInf(g[row], 0) && (side*g[row] < side*g[0] || math.IsInf(g[0], 0)) {
				queues[k] = append(queues[k], row)
			}
		}
		slices.SortStableFunc(queues[k], func(a, b int) int { return cmp.Compare(side*g[a], side*g[b]) })
	}
	near := func(row int) bool {
		return slices.ContainsFunc(rows, func(r int) bool { return cosine(s.u[r], s.u[row]) > 0.866 })
	}
	for left := true; left && len(rows) < mostStarts; {
		left = false
		for k := range queues {
			queues[k] = slices.DeleteFunc(queues[k], near)
			if len(queues[k]) > 0 {
				rows, left = append(rows, queues[k][0]), true
			}
		}
	}
	return rows
}

func cosine(a, b []float64) float64 {
	return floats.Dot(a, b) / (floats.Norm(a, 2) * floats.Norm(b, 2))
}
