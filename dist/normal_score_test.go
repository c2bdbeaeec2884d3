package dist

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestNormalQuantileIntoTheTails(t *testing.T) {
	// mpmath 1.3.0, 40 digits, of the float64 nearest to p
	for _, c := range []struct{ p, z float64 }{
		{1e-300, -37.047096299361199237},
		{1e-100, -21.273453560965324294},
		{1e-20, -9.2623400897984075796},
		{1e-15, -7.9413453261709967713},
		{1e-7, -5.19933758219281694},
		{1e-4, -3.7190164854556805523},
		{0.025, -1.9599639845400542118},
		{0.05, -1.644853626951472688},
		{0.3, -0.52440051270804081597},
	} {
		// The algorithm is published at 1e-16, the float64 arithmetic adds a few ulp.
		assert.InEpsilon(t, c.z, NormalQuantile(c.p), 1e-15, "%g", c.p)
		assert.InEpsilon(t, c.p, NormalCDF(NormalQuantile(c.p)), 2*c.z*c.z*ulp+1e-15, "%g", c.p)
	}
	assert.Zero(t, NormalQuantile(0.5))
}

func TestNormalQuantileOutside(t *testing.T) {
	assert.Equal(t, math.Inf(-1), NormalQuantile(0))
	assert.Equal(t, math.Inf(1), NormalQuantile(1))
	for _, p := range []float64{-1e-300, 1 + ulp, math.NaN(), math.Inf(1), math.Inf(-1)} {
		assert.True(t, math.IsNaN(NormalQuantile(p)), "%g", p)
	}
}

func TestNormalTails(t *testing.T) {
	// mpmath 1.3.0, 40 digits
	for _, c := range []struct{ z, survival float64 }{
		{1, 0.15865525393145705141},
		{5, 2.8665157187919391167e-7},
		{8, 6.2209605742717841235e-16},
		{10, 7.619853024160526066e-24},
		{20, 2.7536241186062336951e-89},
		{30, 4.9067139271481870595e-198},
	} {
		// z/sqrt(2) is rounded once, which the square in the exponent turns into z^2 ulp.
		assert.InEpsilon(t, c.survival, NormalSurvival(c.z), (c.z*c.z+4)*ulp, "%g", c.z)
		assert.Equal(t, NormalSurvival(c.z), NormalCDF(-c.z))
	}
}

func TestNormalScoreOutsideTheSupport(t *testing.T) {
	u := Uniform{1, 2}
	assert.Equal(t, math.Inf(-1), NormalScore(u, 0.5))
	assert.Equal(t, math.Inf(1), NormalScore(u, 2.5))
	assert.Equal(t, math.Inf(-1), NormalScore(Lognormal{1, 0.1}, -3))
	assert.Equal(t, 1.0, FromNormalScore(u, -50))
	assert.Equal(t, 2.0, FromNormalScore(u, 50))
	assert.Equal(t, 500.0, FromNormalScore(Normal{0, 10}, 50))
	for name, d := range exampleShapes(t) {
		if name != "fixed" && name != "resampled" {
			assert.True(t, math.IsNaN(FromNormalScore(d, math.NaN())), name)
		}
	}
}
