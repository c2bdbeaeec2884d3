package contact

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestContactFraction(t *testing.T) {
	everyScale(func(x float64) {
		q := x / (1 + x) // both ends of 0 to 1
		// Near 1 the arcsine of the standard library loses what q itself does not.
		want := 2 / math.Pi * math.Atan2(math.Sqrt(q), math.Sqrt(1-q))
		require.InEpsilon(t, want, contactFraction(q), 1e-15, "q = %v", q) // a handful of roundings of 1.1e-16
	})
	assert.Equal(t, 0.0, contactFraction(0))
	assert.Equal(t, 1.0, contactFraction(1))
	assert.InEpsilon(t, 0.5, contactFraction(0.5), 3e-16)
}
