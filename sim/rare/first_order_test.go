package rare

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Two independent half-spaces at 2 and 3 standard deviations: one survives both with
// Φ(2) Φ(3) (table values of Φ, ten digits, from memory).
func TestFirstOrderOfTwoHalfSpaces(t *testing.T) {
	const at2, at3 = 0.9772498681, 0.9986501020
	assert.InEpsilon(t, 1-at2*at3, firstOrder([]DesignPoint{{Beta: 2}, {Beta: 3}}), 1e-7)
	assert.InEpsilon(t, at2, firstOrder([]DesignPoint{{Beta: -2}}), 1e-9, "the origin fails")
	assert.Zero(t, firstOrder(nil))
	assert.Positive(t, DesignPoint{Beta: 1}.Approximation())
	assert.Less(t, math.Abs(firstOrder([]DesignPoint{{Beta: 40}})), 1e-300)
}
