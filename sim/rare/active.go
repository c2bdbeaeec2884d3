package rare

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// Searches among many variables look along those that matter: a gradient costs
// one evaluation for each.
const (
	fewVariables = 30   // of a problem that is searched along all of them
	unfeltShare  = 2e-3 // of the squared changes along the axes, left out at first
	missingShare = 0.02 // of the squared gradient at the end, that may stay left out
)

func (m *meter) all() []int {
	variables := make([]int, m.Dim)
	for i := range variables {
		variables[i] = i
	}
	return variables
}

// felt lists the variables that event e feels along the axes, all but a small
// share of the squared changes of the limit state: all when there are few, or
// when it feels none.
func (s screen) felt(e int) []int {
	change := make([]float64, len(s.u[0]))
	for k, row := range s.groups[2] {
		if by := math.Abs(s.g[e][row] - s.g[e][0]); by <= math.MaxFloat64 { // a jump has no slope
			change[k/2] = max(change[k/2], by)
		}
	}
	return largest(change)
}

// largest lists the positions, in order, of the largest of the values by size,
// that leave out no more than a share of the sum of squares; all of fewVariables,
// or of zeros only.
func largest(values []float64) []int {
	squares := floats.MulTo(make([]float64, len(values)), values, values)
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	if len(values) <= fewVariables {
		return order
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(squares[i], squares[j]) })
	total, sum, out := floats.Sum(squares), 0.0, 0
	for _, i := range order {
		if sum += squares[i]; total == 0 || sum > unfeltShare*total {
			break
		}
		out++
	}
	return slices.Sorted(slices.Values(order[out:]))
}

// project moves a start to 0 along the variables not looked along, which would
// only take it away.
func (s *search) project(start []float64, value float64) ([]float64, float64) {
	if len(s.active) == s.Dim {
		return slices.Clone(start), value
	}
	at := make([]float64, s.Dim)
	for _, i := range s.active {
		at[i] = start[i]
	}
	return at, s.limitState(at)
}

// lookAlongAll completes the slope where a search along some of the variables has
// ended, and reports whether others matter there too and it has to go on.
func (s *search) lookAlongAll() bool {
	if len(s.active) == s.Dim {
		return false
	}
	s.slope = s.gradient(s.at, s.value, s.all())
	seen := 0.0
	for _, i := range s.active {
		seen += s.slope[i] * s.slope[i]
	}
	if seen >= (1-missingShare)*floats.Dot(s.slope, s.slope) {
		return false
	}
	s.lookAlong(s.slope)
	return true
}

// lookAlong adds the variables along which a direction mostly leads.
func (s *search) lookAlong(direction []float64) {
	s.active = append(s.active, largest(direction)...)
	slices.Sort(s.active)
	s.active = slices.Compact(s.active)
}
