package strata

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// regression is least squares on the scores of rows, for any number of outputs. Once it has fitted one, its
// scores stay as they are. It is safe for concurrent use.
type regression struct {
	design *mat.Dense // 1, and the scores of the variables, a line for each
	root   func() *mat.Cholesky
}

// newRegression is one of so many variables and rows, whose scores are to be filled in.
func newRegression(inputs, rows int) (on *regression, z [][]float64) {
	return regressionOn(mat.NewDense(inputs+1, rows, nil))
}

func regressionOn(design *mat.Dense) (on *regression, z [][]float64) {
	lines, _ := design.Dims()
	for i := range lines - 1 {
		z = append(z, design.RawRowView(i+1))
	}
	constant := design.RawRowView(0)
	for r := range constant {
		constant[r] = 1
	}
	// The columns are nearly orthogonal: the normal equations lose nothing, in a quarter of the time.
	return &regression{design, sync.OnceValue(func() *mat.Cholesky {
		var gram mat.SymDense
		var root mat.Cholesky
		gram.SymOuterK(1, design)
		root.Factorize(&gram)
		return &root
	})}, z
}

// fit fits y by least squares on the scores, rows without a finite value left
// out, and keeps what is not noise. Without anything left, or too few rows to
// tell, the direction has no variable.
func (on *regression) fit(y []float64) linear {
	on, outputs, rows := on.finite(y)
	lines, _ := on.design.Dims()
	inputs := lines - 1
	if rows < 4*(inputs+1) {
		return linear{}
	}
	var coefficients, residual mat.VecDense
	coefficients.MulVec(on.design, outputs)
	if err := on.root().SolveVecTo(&coefficients, &coefficients); err != nil {
		return linear{} // independent columns; only an output near overflow gets here
	}
	residual.MulVec(on.design.T(), &coefficients)
	residual.SubVec(outputs, &residual)
	// The columns are nearly orthogonal with variance 1, so that the standard
	// error of all coefficients is near the residual's over sqrt(rows).
	noise := mat.Norm(&residual, 2) / math.Sqrt(float64(rows-inputs-1)) / math.Sqrt(float64(rows))
	l := linear{mean: coefficients.AtVec(0)}
	least := max(fewestErrors*noise, roundingShare*mat.Norm(&coefficients, math.Inf(1)))
	for i := range inputs {
		if b := coefficients.AtVec(i + 1); math.Abs(b) > least {
			l.variable, l.weight = append(l.variable, i), append(l.weight, b)
		}
	}
	l.slope = floats.Norm(l.weight, 2)
	if !(l.slope > 0 && l.slope <= math.MaxFloat64) {
		return linear{}
	}
	floats.Scale(1/l.slope, l.weight)
	return l
}

// finite is the regression on the rows with a finite value alone, the others and their outputs 0, and the number of
// those rows.
func (on *regression) finite(y []float64) (some *regression, outputs *mat.VecDense, rows int) {
	some, outputs = on, mat.NewVecDense(len(y), nil)
	lines, _ := on.design.Dims()
	for r, value := range y {
		if math.Abs(value) <= math.MaxFloat64 {
			outputs.SetVec(r, value)
			rows++
			continue
		}
		if some == on {
			some, _ = regressionOn(mat.DenseCopyOf(on.design))
		}
		for i := range lines {
			some.design.Set(i, r, 0)
		}
	}
	return some, outputs, rows
}
