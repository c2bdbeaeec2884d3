package strata

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// basis lists the terms of a surface over scores of the unknown inputs.
type basis struct {
	index []float64 // weights of the inputs along the direction in which the output rises, of norm 1
	form
}

// form says which terms a surface has, as Hermite polynomials.
type form int

const (
	// alongIndex has 1, each score, and the square and cube of the index alone.
	alongIndex form = iota
	// eachAlone has 1, each score with its square and cube, and those of the index.
	eachAlone
	// crossed has 1, each score with its square and cube, and the products of two.
	crossed
	// eachHigher is eachAlone with each score to the fifth power.
	eachHigher
)

const (
	// rowsPerTerm is the least effective number of rows for each term of a fit (common
	// practice, no source: ten events for each variable of a regression on rare events).
	rowsPerTerm = 10
	// mostCrossed is the largest number of inputs whose products are used: there would
	// be too many.
	mostCrossed = 5
	// fewestHigher is how many times the usual rows see what squares and cubes leave out.
	fewestHigher = 4
)

// newBasis is the richest that so many effective rows carry, of a look at finer times the usual rows; false for none.
func newBasis(index []float64, effective, finer float64) (basis, bool) {
	for _, f := range []form{crossed, eachHigher, eachAlone, alongIndex} {
		b := basis{index, f}
		if f == crossed && len(index) > mostCrossed || f == eachHigher && finer < fewestHigher {
			continue
		}
		if effective >= rowsPerTerm*float64(b.terms()) {
			return b, true
		}
	}
	return basis{}, false
}

func (b basis) inputs() int { return len(b.index) }
func (b basis) terms() int  { return len(b.row(nil, b.index)) }

// powers is how many of the terms of a score are its own.
func (b basis) powers() int {
	switch b.form {
	case alongIndex:
		return 1
	case eachHigher:
		return 5
	}
	return 3
}

// row appends the terms at a place.
func (b basis) row(terms, place []float64) []float64 {
	terms = append(terms, 1)
	for j, z := range place {
		terms = append(terms, z)
		if b.form != alongIndex {
			terms = append(terms, hermite2(z), hermite3(z))
		}
		if b.form == eachHigher {
			terms = append(terms, hermite4(z), hermite5(z))
		}
		if b.form == crossed {
			for _, other := range place[:j] {
				terms = append(terms, z*other)
			}
		}
	}
	if b.form != crossed && b.inputs() > 1 {
		along := floats.Dot(b.index, place)
		terms = append(terms, hermite2(along), hermite3(along))
	}
	return terms
}

func (b basis) matrix(places [][]float64) *mat.Dense {
	m := mat.NewDense(len(places), b.terms(), nil)
	for i, place := range places {
		b.row(m.RawRowView(i)[:0], place)
	}
	return m
}

// Hermite polynomials of second to fifth order, of variance 1 under the standard normal.
func hermite2(z float64) float64 { return (z*z - 1) / math.Sqrt2 }
func hermite3(z float64) float64 { return (z*z*z - 3*z) / math.Sqrt(6) }
func hermite4(z float64) float64 { return (z*z*z*z - 6*z*z + 3) / math.Sqrt(24) }
func hermite5(z float64) float64 { return (z*z*z*z*z - 10*z*z*z + 15*z) / math.Sqrt(120) }
