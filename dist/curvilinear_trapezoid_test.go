package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLogSeries(t *testing.T) {
	for _, e := range []float64{1e-9, 1e-6, 1e-4} {
		assert.InEpsilon(t, e*e/2*(1+e/3+e*e/6), logSeries(e), 1e-11, "%g", e)
	}
	// both sides of the change of formula
	assert.InEpsilon(t, logSeries(math.Nextafter(0.1, 1)), logSeries(0.1), 1e-14)
	assert.Equal(t, 0.5*math.Log(0.5)+0.5, logSeries(0.5))
}

// The lower end at 0 shows the tail without the rounding of a large x: there the
// density rises as e/(4 inexactness), so CDF = widest e^2/(8 inexactness).
func TestCurvilinearTrapezoidTail(t *testing.T) {
	d, err := NewCurvilinearTrapezoid(1, 9, 1)
	require.NoError(t, err)
	const widest = 5
	for _, x := range []float64{1e-9, 1e-7} {
		e := x / widest
		assert.InEpsilon(t, widest*e*e/8, d.CDF(x), e, "%g", x)
		assert.InEpsilon(t, x, d.Quantile(d.CDF(x)), 1e-13, "%g", x)
	}
}
