package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSolveIncreasing(t *testing.T) {
	evaluations := 0
	count := func(f func(x float64) (value, slope float64)) func(x float64) (value, slope float64) {
		evaluations = 0
		return func(x float64) (value, slope float64) { evaluations++; return f(x) }
	}
	logarithm := count(func(x float64) (value, slope float64) { return math.Log(x / 3), 1 / x })
	assert.InEpsilon(t, 3, solveIncreasing(logarithm, 0, 1e9, 1), 1e-15)
	assert.Less(t, evaluations, 8, "Newton steps")

	halving := count(func(x float64) (value, slope float64) { return x*x*x - 2, 0 })
	assert.InEpsilon(t, math.Cbrt(2), solveIncreasing(halving, 0, 10, 5), 1e-15)
	assert.Less(t, evaluations, 70, "halving a bracket takes about 60")

	overshooting := count(func(x float64) (value, slope float64) { return math.Atan(x - 1), 1 / (1 + (x-1)*(x-1)) })
	assert.InEpsilon(t, 1, solveIncreasing(overshooting, -1e3, 1e3, 900), 1e-15)

	jump := count(func(x float64) (value, slope float64) { return 2*step(x, 0.7) - 1, 0 })
	assert.Equal(t, 0.7, solveIncreasing(jump, 0, 1, 0.5))

	assert.Equal(t, 5.0, solveIncreasing(func(float64) (value, slope float64) { return -1, 1e-3 }, 0, 5, 1), "no root: the high end")
}
