package gauge

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/floats"
)

// Four parts, three operators, three repeats; operators differ, and differ more on some parts.
const crossed = `
10 11 10 13 14 14 10 11 11
20 22 21 25 24 25 19 21 20
15 14 15 19 21 20 18 17 18
30 31 30 31 33 32 28 31 29`

// The gauge is the sum of its components, all of them above zero here: so is the sum of
// mean squares that its interval and its degrees of freedom come from.
func TestTheGaugeIsTheSumOfItsComponents(t *testing.T) {
	s := analysed(t, study(t, crossed, 3), With)
	sum := 0.0
	for _, c := range s.Components {
		assert.Positive(t, c.Variance, c.Source)
		sum += c.Variance
	}
	assert.InEpsilon(t, sum, s.Gauge.Variance, 1e-12)
	// Expected mean squares with p = 4, r = 3: operators e + 3 c + 12 o, interaction e + 3 c, repeats e. So
	// o + c + e = operators/12 + interaction/4 + 2/3 repeats.
	parts := []float64{s.With[1].MeanSquare / 12, s.With[2].MeanSquare / 4, s.With[3].MeanSquare * 2 / 3}
	assert.InEpsilon(t, sum, floats.Sum(parts), 1e-12)
	// Satterthwaite: 2, 6 and 24 degrees of freedom.
	freedom := sum * sum / (parts[0]*parts[0]/2 + parts[1]*parts[1]/6 + parts[2]*parts[2]/24)
	assert.InEpsilon(t, freedom, s.GaugeFreedom, 1e-12)
}
