package calibrate

import (
	"math"

	"clampodds/sim/batch"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// spread is what the variables do to the observations at some parameters.
type spread struct {
	mean []float64
	// linear has the covariance by each sharing, Common first, before it is known
	// who shares; rest is the covariance of what is not linear in the scores.
	linear [PerSetup]mat.SymDense
	rest   mat.SymDense
	// skewness is the largest of an observation, either way.
	skewness float64
}

// at computes the spread at the normal scores of the parameters.
func (v *variation) at(scores []float64) *spread {
	p := v.problem
	n := len(p.Observations)
	y := batch.Columns(n, v.draws)
	v.response(p.values(scores), y)
	s := &spread{mean: make([]float64, n)}
	centred := mat.NewDense(n, v.draws, nil)
	observed := make([]bool, v.draws)
	for k := range observed {
		observed[k] = finite(y, k)
	}
	for o, row := range y {
		s.mean[o] = centre(row, observed, centred.RawRowView(o))
	}
	s.rest.SymOuterK(1/float64(v.draws), centred)
	for o := range y {
		s.skewness = math.Max(s.skewness, math.Abs(stat.Skew(centred.RawRowView(o), nil)))
	}
	if v.scores == nil {
		for i := range s.linear {
			s.linear[i].ReuseAsSym(n)
		}
		return s
	}
	var slopes mat.Dense // observation by variable: Σ (y - μ) z/K
	slopes.Mul(centred, v.scores.T())
	slopes.Scale(1/float64(v.draws), &slopes)
	for i := range s.linear {
		own := mat.NewDense(n, len(p.Variables), nil)
		for j, variable := range p.Variables {
			if variable.Sharing == Sharing(i+1) {
				own.SetCol(j, mat.Col(nil, j, &slopes))
			}
		}
		s.linear[i].SymOuterK(1, own)
		subtract(&s.rest, &s.linear[i])
	}
	return s
}

// centre sets into to row less its mean over the draws that can be observed, 0 in
// the others, and returns the mean: NaN when there are none.
func centre(row []float64, observed []bool, into []float64) float64 {
	sum, count := 0.0, 0
	for k, x := range row {
		if observed[k] {
			sum += x
			count++
		}
	}
	mean := sum / float64(count)
	for k, x := range row {
		if observed[k] {
			into[k] = x - mean
		}
	}
	return mean
}

func subtract(a, b *mat.SymDense) {
	for i := range a.SymmetricDim() {
		for j := i; j < a.SymmetricDim(); j++ {
			a.SetSym(i, j, a.At(i, j)-b.At(i, j))
		}
	}
}

// covariance is C of the package comment.
func (s *spread) covariance(p *Problem, i, j int) float64 {
	a, b := &p.Observations[i], &p.Observations[j]
	sum := 0.0
	for k := range s.linear {
		if Sharing(k+1).share(a, b) {
			sum += s.linear[k].At(i, j)
		}
	}
	if PerUnit.share(a, b) {
		sum += s.rest.At(i, j)
	}
	return sum
}

// moments holds the means of n observations and behind them the upper triangle
// of their covariance row by row, without noise, so that all of it is
// interpolated as one vector.
type moments []float64

func (s *spread) moments(p *Problem) moments {
	m := moments(append([]float64(nil), s.mean...))
	for i := range s.mean {
		for j := i; j < len(s.mean); j++ {
			m = append(m, s.covariance(p, i, j))
		}
	}
	return m
}

// sizeOfMoments is the length of the moments of n observations.
func sizeOfMoments(n int) int { return n + n*(n+1)/2 }

// withNoise sets v to the covariance of the readings.
func (m moments) withNoise(observations []Observation, v *mat.SymDense) {
	at := len(observations)
	for i, o := range observations {
		for j := i; j < len(observations); j++ {
			v.SetSym(i, j, m[at])
			at++
		}
		v.SetSym(i, i, v.At(i, i)+o.Noise*o.Noise)
	}
}
