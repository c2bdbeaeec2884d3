package calibrate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// Readings of variance 1 that the parameter moves alike: a straight line by least squares, as the
// general library fits it. What is computed twice in one order differs by rounding alone.
func TestTrendIsALineThroughTheResiduals(t *testing.T) {
	x, y := []float64{2, 3, 5, 8.5, 8}, []float64{0.3, -0.2, 0.9, 1.7, 1.1}
	l := &linear{residual: mat.NewVecDense(5, y), slope: mat.NewVecDense(5, []float64{1, 1, 1, 1, 1})}
	require.True(t, l.chol.Factorize(mat.NewSymDense(5, []float64{1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 1})))
	_, slope := stat.LinearRegression(x, y, nil, false)
	squares := stat.Variance(x, nil) * 4
	change, deviation, middle, ok := l.fit(x)
	require.True(t, ok)
	assert.InEpsilon(t, 6.5*slope, change, 1e-12)
	assert.InEpsilon(t, 6.5/math.Sqrt(squares), deviation, 1e-12)
	assert.InEpsilon(t, (stat.Mean(x, nil)-2)/6.5, middle, 1e-12)
}
