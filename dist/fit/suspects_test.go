package fit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
)

// For normal readings the level of one under the fit of the others is that of Grubbs' test, whose statistic and critical value are
// held to the NIST handbook in the outside checks; 1e-9 is the rounding of two ways to Student's t.
func TestOutlyingIsGrubbs(t *testing.T) {
	values := append([]float64{2.75}, audit...)
	mean, sd := stat.MeanStdDev(values, nil)
	want := grubbsLevel(13, (2.75-mean)/sd)
	s := sample(t, Data{Values: values})
	rest, err := s.Without([]int{0})
	require.NoError(t, err)
	f, err := rest.Fit(Normal, Options{Level: 0.95})
	require.NoError(t, err)
	s.step, f.sample.step = 0, 0 // as exact as the formula takes them
	assert.InEpsilon(t, want, f.Outlying(2.75, 13), 1e-9)
	f.sample.step = 0.01
	assert.Greater(t, f.Outlying(2.75, 13), want, "a rounded reading counts as its near end")
	f.sample.data.GaugeSD = 0.02
	assert.Greater(t, f.Outlying(2.75, 13), 1.5*want, "the gauge's error may have taken it there")
	assert.Len(t, rest.data.Values, 12)
	assert.Len(t, s.data.Values, 13)
}

func TestSuspects(t *testing.T) {
	suspects := func(level float64, d Data) [][]int { return sample(t, d).Suspects(level) }
	assert.Equal(t, [][]int{{3}}, suspects(0.001, Data{Values: append([]float64{2.5, 2.4, 2.6, 9.9}, audit...)}), "far out on both scales: once")
	assert.Equal(t, [][]int{{3}}, suspects(0.001, Data{Values: append([]float64{2.5, 2.4, 2.6, -9.9}, audit...)}), "no logarithm, no scale of it")
	assert.Empty(t, suspects(0.001, Data{Values: audit}))
	assert.Empty(t, suspects(0.001, Data{Values: append([]float64{9.9}, audit...), Below: []int{2}}), "bounds")
	assert.Empty(t, suspects(0.9, Data{Values: []float64{1, 1.1, 1.2, 99}}), "three would be left")
	skewed := make([]float64, 30) // the largest is far out of normal readings, not of lognormal ones
	for i := range skewed {
		skewed[i] = math.Exp(2 * audit[i%12] * float64(1+i/12))
	}
	assert.Len(t, suspects(0.001, Data{Values: skewed}), 1)
	_, err := sample(t, Data{Values: []float64{1, 1, 1, 1, 2}}).Without([]int{4})
	assert.Error(t, err, "all others are alike")
}
