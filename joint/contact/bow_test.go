package contact

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	_ "clampodds/testdata/fixedseed"
)

func TestLayerFactorLimits(t *testing.T) {
	assert.Equal(t, 0.0, layerFactor(0))
	assert.Equal(t, 1.0, layerFactor(math.Inf(1)))
	assert.Equal(t, 1.0, layerFactor(1e6))
	// Small: Phi = x^3/6 (1 - x^2/5 + ...), a bent plate.
	for _, x := range []float64{1e-100, 1e-20, 1e-8, 1e-4} {
		assert.InEpsilon(t, x*x*x/6, layerFactor(x), 1e-7)
	}
}

func TestLayerFactorAgainstDirectFormula(t *testing.T) {
	direct := func(x float64) float64 {
		s, c := math.Sinh(x), math.Cosh(x)
		return (s*s - x*x) / (s*c + x)
	}
	for x := 0.3; x < 20; x *= 1.01 {
		// The direct form loses 3/x^2 units of rounding to its difference.
		assert.InEpsilon(t, direct(x), layerFactor(x), 1e-14*(1+3/(x*x)), "x = %g", x)
	}
	// Both branches meet: one computed by the series, one by the exponentials.
	assert.InEpsilon(t, layerFactor(math.Nextafter(1, 0)), layerFactor(1), 1e-14)
}

func TestLayerFactorRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := math.Exp(rapid.Float64Range(-230, 6).Draw(t, "ln x"))
		phi := layerFactor(x)
		if !(phi > 0 && phi <= 1) || layerFactor(1.001*x) < phi {
			t.Fatalf("Phi(%g) = %g, Phi(%g) = %g", x, phi, 1.001*x, layerFactor(1.001*x))
		}
	})
}

// TestThinLayerIsABentPlate compares with the strip under a sinusoidal load of
// plate theory, amplitude = p/(D w^4), D = E t^3/(12 (1 - nu^2)).
func TestThinLayerIsABentPlate(t *testing.T) {
	layer := Layer{Modulus: 70e9, Poisson: 0.3, Thickness: 0.5e-3}
	length := 0.2
	w := 2 * math.Pi / length
	plate := layer.Modulus * math.Pow(layer.Thickness, 3) / (12 * (1 - layer.Poisson*layer.Poisson)) * math.Pow(w, 4)
	rigid := Layer{Modulus: 1e30, Poisson: 0.3, Thickness: math.Inf(1)}
	// Shear, of order (w t)^2 = 2.5e-4, is what the plate leaves out.
	assert.InEpsilon(t, plate, BowStiffness(length, layer, rigid), 5e-4)
}

func TestThickBodiesAreWestergaards(t *testing.T) {
	body := Layer{Modulus: 68.9e9, Poisson: 0.33, Thickness: math.Inf(1)}
	modulus := 68.9e9 / (1 - 0.33*0.33) / 2
	assert.InEpsilon(t, math.Pi*modulus/0.13, BowStiffness(0.13, body, body), 1e-12)
	bow := thickBow(50e-6)
	assert.InEpsilon(t, math.Pi*modulus*25e-6/0.13, bow.ClosurePressure(), 1e-12)
}

func TestBowCloses(t *testing.T) {
	bow := thickBow(50e-6)
	closure := bow.ClosurePressure()
	assert.Equal(t, Partial{Fraction: 1}, bow.Close(closure, 167))
	assert.Equal(t, Partial{Fraction: 1}, bow.Close(2*closure, 167))
	assert.Equal(t, Partial{Gap: 25e-6}, bow.Close(0, 167))
	assert.Equal(t, Partial{Fraction: 1}, thickBow(0).Close(0, 167))
	assert.Equal(t, Partial{Fraction: 1}, thickBow(0).Close(1e6, 167))
	half := bow.Close(closure/2, 167)
	assert.InEpsilon(t, 0.5, half.Fraction, 1e-12)                             // asin sqrt(1/2) = pi/4
	assert.InEpsilon(t, 25e-6*(0.5-0.5*math.Ln2), half.Gap, 1e-12)             // 0.15343 D
	assert.InEpsilon(t, 0.13*math.Ln2/(math.Pi*167), half.Constriction, 1e-12) // l ln 2/(pi k)
}
