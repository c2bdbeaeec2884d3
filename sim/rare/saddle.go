package rare

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

const (
	curvatureSteps = 3   // of Lanczos, each costs one gradient
	curvatureReach = 0.1 // displacement for the change of the gradient
	probeAngle     = 0.3 // between a point and the probes beside it, radian
)

// probe is a point and its limit state.
type probe struct {
	u     []float64
	value float64
}

// beyond looks for the limit state on the near side of a point found: it probes
// both ways along the direction in which the surface curves most towards the
// origin, at the point's own distance, and returns the probes that lie past the
// surface. None means that the point is a local minimum of the distance, as far
// as the directions tried can tell. (A search started on a line of symmetry
// ends at such a false point.)
func (s *search) beyond(p DesignPoint, random *rand.Rand) (past []probe) {
	if past = s.exchange(p); len(past) > 0 {
		return past
	}
	// Where the event happens at the origin it is not rare, and no point is needed.
	if s.Dim == 1 || p.Beta < probeAngle || !s.affords((curvatureSteps+1)*s.Dim+2*curvatureSteps) {
		return nil
	}
	return s.beside(p, s.lowestCurvature(p.Alpha, random))
}

// exchanged is the number of the greatest coordinates that are traded in pairs.
const exchanged = 5

// exchange looks beside p along the cheapest guesses: more of one great coordinate
// for less of another, as where either of two causes serves. A point between them
// is no local minimum.
func (s *search) exchange(p DesignPoint) (past []probe) {
	if s.Dim <= fewVariables || p.Beta < probeAngle || !s.affords(exchanged*exchanged) {
		return nil // with few variables the curvature costs no more
	}
	order := s.all()
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(math.Abs(p.U[j]), math.Abs(p.U[i])) })
	for k, i := range order[:exchanged] {
		for _, j := range order[:k] {
			length := math.Hypot(p.U[i], p.U[j])
			if length == 0 {
				continue
			}
			tangent := make([]float64, s.Dim)
			tangent[i], tangent[j] = p.U[j]/length, -p.U[i]/length
			past = append(past, s.beside(p, tangent)...)
		}
	}
	// The deepest one each way is enough.
	slices.SortStableFunc(past, func(a, b probe) int { return cmp.Compare(a.value, b.value) })
	return past[:min(len(past), 2)]
}

// beside probes the sphere through p both ways along a unit tangent and returns
// the probes that lie past the limit state.
func (s *search) beside(p DesignPoint, tangent []float64) (past []probe) {
	margin := 0.01 * floats.Norm(s.slope, 2)
	for _, angle := range []float64{probeAngle, -probeAngle} {
		u := make([]float64, s.Dim)
		floats.AddScaled(u, math.Cos(angle), p.U)
		floats.AddScaled(u, math.Sin(angle)*p.Beta, tangent)
		if g := s.limitState(u); g < -margin && !math.IsInf(g, 0) {
			past = append(past, probe{u, g})
			s.lookAlong(tangent)
		}
	}
	return past
}

// lowestCurvature returns the unit tangent along which the second derivative of
// g is least, from a few steps of Lanczos on differences of the gradient: exact
// when no more than that many curvatures differ.
func (s *search) lowestCurvature(alpha []float64, random *rand.Rand) []float64 {
	v := make([]float64, s.Dim)
	for i := range v {
		v[i] = random.NormFloat64()
	}
	basis := [][]float64{alpha}
	steps := min(curvatureSteps, s.Dim-1)
	projected := mat.NewSymDense(steps, nil)
	for k := range steps {
		if !orthonormalise(v, basis) {
			projected = projected.SliceSym(0, k).(*mat.SymDense)
			break
		}
		basis = append(basis, v)
		ahead := floats.AddScaledTo(make([]float64, s.Dim), s.at, curvatureReach, v)
		value := s.limitState(ahead)
		if math.IsInf(value, 0) {
			return make([]float64, s.Dim)
		}
		change := s.gradient(ahead, value, s.all())
		floats.Sub(change, s.slope)
		floats.Scale(1/curvatureReach, change)
		for j := 0; j <= k; j++ {
			projected.SetSym(j, k, floats.Dot(change, basis[j+1]))
		}
		v = change
	}
	var eigen mat.EigenSym
	if len(basis) == 1 || !eigen.Factorize(projected, true) {
		return make([]float64, s.Dim)
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	tangent := make([]float64, s.Dim)
	for j, b := range basis[1:] {
		floats.AddScaled(tangent, vectors.At(j, 0), b)
	}
	return tangent
}

// orthonormalise makes v a unit vector orthogonal to the basis, and reports
// whether anything was left of it.
func orthonormalise(v []float64, basis [][]float64) bool {
	before := floats.Norm(v, 2)
	for range 2 { // once more against rounding
		for _, b := range basis {
			floats.AddScaled(v, -floats.Dot(v, b), b)
		}
	}
	after := floats.Norm(v, 2)
	if !(after > 1e-6*before) || math.IsInf(after, 0) {
		return false
	}
	floats.Scale(1/after, v)
	return true
}
