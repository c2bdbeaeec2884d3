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

// feltAlong lists the variables that a limit state feels along the axes, where
// it is g at both ends of each and value at the origin: all but a small share of
// the squared changes. A jump to no value is felt as well.
func feltAlong(g []float64, value float64) []int {
	change := make([]float64, len(g)/2)
	greatest := 0.0
	for row, at := range g {
		if by := math.Abs(at - value); by <= math.MaxFloat64 {
			change[row/2] = max(change[row/2], by)
			greatest = max(greatest, by)
		}
	}
	for row, at := range g {
		if at != value && math.IsInf(at-value, 0) {
			change[row/2] = max(greatest, 1)
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
