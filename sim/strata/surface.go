package strata

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"clampodds/dist"
)

// basis lists the terms of a surface over scores: 1 and each score; of few unknown
// inputs their squares and cubes, as Hermite polynomials, and the products of two; of
// many the square and cube of one index alone, their weighted sum along the direction in
// which the output rises. Bending another way shows as misfit, which is counted as
// spread.
type basis struct {
	index []float64 // weights of the inputs along the direction, of norm 1
}

// mostFull is the number of inputs up to which all terms are used.
const mostFull = 4

func (b basis) inputs() int { return len(b.index) }
func (b basis) full() bool  { return len(b.index) <= mostFull }

func (b basis) terms() int {
	n := b.inputs()
	if b.full() {
		return 1 + 3*n + n*(n-1)/2
	}
	return 1 + n + 2
}

// points is the number of points for a fit.
func (b basis) points() int { return max(fewestPoints, pointsPerTerm*b.terms()) }

// row appends the terms at point m of the scores.
func (b basis) row(terms []float64, scores [][]float64, m int) []float64 {
	terms = append(terms, 1)
	along := 0.0
	for j := range b.inputs() {
		z := scores[j][m]
		terms = append(terms, z)
		along += b.index[j] * z
		if !b.full() {
			continue
		}
		terms = append(terms, hermite2(z), hermite3(z))
		for i := range j {
			terms = append(terms, z*scores[i][m])
		}
	}
	if !b.full() {
		terms = append(terms, hermite2(along), hermite3(along))
	}
	return terms
}

// Hermite polynomials of variance 1 under the standard normal.
func hermite2(z float64) float64 { return (z*z - 1) / math.Sqrt2 }
func hermite3(z float64) float64 { return (z*z*z - 3*z) / math.Sqrt(6) }

func (b basis) matrix(scores [][]float64) *mat.Dense {
	var terms []float64
	for i := range scores[0] {
		terms = b.row(terms, scores, i)
	}
	return mat.NewDense(len(scores[0]), b.terms(), terms)
}

// surface is a fit to normal scores of probabilities at the points that have
// one.
type surface struct {
	coefficients *mat.VecDense
	residuals    []float64 // by point; NaN for a point without
	used         int
}

// fit lays a surface through -Φ^-1(p), points weighted by what the sets of rows
// say about their precision.
func (b basis) fit(design *mat.Dense, probability, weight []float64) (surface, error) {
	s := surface{residuals: make([]float64, len(probability))}
	left, right := mat.NewDense(len(probability), b.terms(), nil), mat.NewVecDense(len(probability), nil)
	score := make([]float64, len(probability))
	for m, p := range probability {
		score[m] = -dist.NormalQuantile(p)
		if !(math.Abs(score[m]) <= math.MaxFloat64) || weight[m] == 0 {
			score[m] = math.NaN()
			continue // the row stays 0: without weight
		}
		s.used++
		root := math.Sqrt(weight[m])
		floats.ScaleTo(left.RawRowView(m), root, design.RawRowView(m))
		right.SetVec(m, root*score[m])
	}
	if s.used < b.terms()+b.terms()/2 {
		return s, ErrTooRare
	}
	s.coefficients = mat.NewVecDense(b.terms(), nil)
	if err := s.coefficients.SolveVec(left, right); err != nil {
		return s, fmt.Errorf("%w: %w", ErrTooRare, err)
	}
	var fitted mat.VecDense
	fitted.MulVec(design, s.coefficients)
	for m := range s.residuals {
		s.residuals[m] = score[m] - fitted.AtVec(m)
	}
	return s, nil
}

// average is the mean over the sets that count, by point.
func average(probabilities [][]float64, counts func(group int) bool) []float64 {
	mean := make([]float64, len(probabilities))
	for m, groups := range probabilities {
		n := 0.0
		for g, p := range groups {
			if counts(g) {
				mean[m], n = mean[m]+p, n+1
			}
		}
		mean[m] /= n
	}
	return mean
}

// weights of the points in a fit: 1 where the scatter of the sets is as good as
// that of enoughEvents or more events, less in proportion with fewer.
func weights(probabilities [][]float64) []float64 {
	const enoughEvents = 25
	w := make([]float64, len(probabilities))
	for m, groups := range probabilities {
		mean, variance := stat.MeanVariance(groups, nil)
		switch {
		case mean == 0 || mean >= 1:
		case variance == 0:
			w[m] = 1
		default:
			w[m] = min(1, mean*mean*rowGroups/variance/enoughEvents)
		}
	}
	return w
}

// misfit is the standard deviation of the points about the surface without the
// noise of the rows: of independent halves of the rows only what both share
// remains in the mean product of their residuals.
func (b basis) misfit(design *mat.Dense, probabilities [][]float64, weight []float64) (float64, error) {
	var half [2]surface
	for i := range half {
		var err error
		half[i], err = b.fit(design, average(probabilities, func(g int) bool { return g%2 == i }), weight)
		if err != nil {
			return 0, err
		}
	}
	sum, n := 0.0, 0.0
	for m, r := range half[0].residuals {
		if product := r * half[1].residuals[m]; !math.IsNaN(product) {
			sum, n = sum+weight[m]*product, n+weight[m]
		}
	}
	freedom := 1 - float64(b.terms())/float64(half[0].used)
	return math.Sqrt(max(0, sum/n/freedom)), nil
}
