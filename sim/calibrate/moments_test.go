package calibrate

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/mat"
)

// Readings of one unit share what is not linear, each pair its own share of it; units do not.
func TestCovarianceOfReadingsOfAUnit(t *testing.T) {
	p := &Problem{Observations: []Observation{{Unit: 1, Setup: 1}, {Unit: 1, Setup: 2}, {Unit: 2, Setup: 3}}}
	s := &spread{rest: *mat.NewSymDense(3, []float64{4, -1, 2, -1, 9, 3, 2, 3, 16})}
	for i := range s.linear {
		s.linear[i].ReuseAsSym(3)
	}
	for i, row := range [][]float64{{4, -1, 0}, {-1, 9, 0}, {0, 0, 16}} {
		for j, want := range row {
			assert.Equal(t, want, s.covariance(p, i, j), "%d, %d", i, j)
		}
	}
}
