package contact

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestTubeConstriction holds the expansion at the surface against the published
// coefficients for this heat flux, 1 - 1.40925 e + 0.295910 e^3 + 0.0525416 e^5 +
// 0.0210 e^7 (Yovanovich's reviews, from memory), to the digits recalled.
func TestTubeConstriction(t *testing.T) {
	b := newTube().image(0)
	assert.InDelta(t, 1.40925, b[0], 5e-6)
	assert.InDelta(t, -0.295910, b[1], 5e-7)
	assert.InDelta(t, -0.0525416, b[2], 5e-7)
}

// TestTubeJoins looks for a step where the polynomial takes over from the sum.
func TestTubeJoins(t *testing.T) {
	u := newTube()
	below, above := u.image(tubeJoin*(1-1e-12)), u.image(tubeJoin)
	for k := range below {
		assert.InDelta(t, above[k], below[k], 1e-9)
	}
	assert.InEpsilon(t, spotImage(30*(1-1e-12)), spotImage(30*(1+1e-12)), 1e-10)
	assert.InDelta(t, 1, spotImage(0), 1e-15)
}

// TestTubeIsTheSeries compares the expansion with the series it came from.
func TestTubeIsTheSeries(t *testing.T) {
	u := newTube()
	for _, c := range []struct{ eps, x float64 }{{0.2, 1}, {0.2, 5}, {0.1, 1}, {0.15, 40}} {
		sum := 0.0
		for n, d := range u.zero {
			v := c.eps * d
			sum += math.Sin(v) * math.J1(v) / (v * v) * math.Exp(-v*c.x) * u.inverseSquare[n] / d
		}
		b := u.image(c.eps * c.x)
		e := c.eps * c.eps
		expanded := spotImage(c.x) - c.eps*(b[0]+e*(b[1]+e*b[2]))
		assert.InDelta(t, 8/math.Pi*c.eps*sum, expanded, 3e-7, "%+v", c) // 0.021 eps^7
	}
}
