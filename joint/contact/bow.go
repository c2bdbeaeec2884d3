package contact

import "math"

// Layer is one of two bodies that a bow bends: an elastic layer of even
// thickness, free to slide on its back.
type Layer struct {
	Modulus   float64 // E, Pa
	Poisson   float64 // nu
	Thickness float64 // t, m; +Inf for a body much thicker than the wave
}

// Bow is the long wave along a clamp: one wave over the clamp's length that the
// clamp bends flat.
type Bow struct {
	Height float64 // d_b, m: peak-to-valley height of the pair
	Length float64 // B, m: clamp length, which is the wavelength
	// Stiffness of both bodies against the wave, K, Pa/m, from BowStiffness.
	Stiffness float64
}

// BowStiffness returns the pressure (Pa) per amplitude (m) that bends a wave of
// the given length (m) flat between two layers in contact:
//
//	1/K = sum 2/(E_i/(1 - nu_i^2) w Phi(w t_i)),  w = 2 pi/B
//
// the surface stiffness of a layer under a sinusoidal load (Timoshenko and
// Goodier, Theory of Elasticity). Two thick bodies give K = pi E'/B. Moduli,
// thicknesses and length must be positive; they are not checked.
func BowStiffness(length float64, first, second Layer) float64 {
	return 1 / (first.Compliance(length) + second.Compliance(length))
}

// Compliance returns the layer's part of 1/K of BowStiffness, m/Pa.
func (l Layer) Compliance(length float64) float64 {
	w := 2 * math.Pi / length
	return 2 * (1 - float64(l.Poisson*l.Poisson)) / (l.Modulus * w * layerFactor(w*l.Thickness))
}

// ClosurePressure returns the mean pressure that closes the bow, p* = K d_b/2, Pa.
func (b *Bow) ClosurePressure() float64 { return b.Stiffness * b.Height / 2 }

// Close returns how far a mean pressure (Pa, at least 0) on the whole face has
// closed the bow between bodies of the given harmonic mean conductivity (W/mK).
// The height may be 0 (closed); length, stiffness and conductivity must be
// positive.
//
// That the partial contact of thick bodies (Westergaard) holds for bent layers
// with p* = K d_b/2 is a similarity assumption [own]: exact for thick bodies, and
// for any at first touch and at closure. The constriction is that of thick
// bodies; in a thin flange heat has to run along it, which the segments of the
// network carry.
func (b *Bow) Close(pressure, conductivity float64) Partial {
	closure := b.ClosurePressure()
	// A pressure below any real one would only send the logarithm to infinity.
	if !(pressure > closure*leastClosing) && b.Height > 0 {
		return Partial{Gap: b.Height / 2}
	}
	return closeWave(pressure/closure, b.Height/2, b.Length/(math.Pi*conductivity))
}

// leastClosing is the share of its closing pressure below which a bow counts as
// not touched: there the contact fraction is under 1e-50.
const leastClosing = 1e-100

// layerFactor is the stiffness of a layer of thickness t to a wave of wavenumber
// w over that of a thick body, x = w t:
//
//	Phi(x) = (sinh^2 x - x^2)/(sinh x cosh x + x),  x^3/6 for small x, 1 for large.
//
// Accurate to a few units in the last place for every x >= 0, +Inf included.
func layerFactor(x float64) float64 {
	if x < 1 {
		// sinh^2 x - x^2 itself loses all digits as x -> 0; x^3 is taken out so that
		// nothing underflows before the result does.
		square := 4 * x * x
		terms := len(layerSeries)
		if x < 0.5 {
			terms = fewLayerTerms
		}
		numerator, denominator := 0.0, 0.0
		for n := terms - 1; n >= 0; n-- {
			numerator = float64(numerator*square) + layerSeries[n].numerator
			denominator = float64(denominator*square) + layerSeries[n].denominator
		}
		return x * x * x * numerator / denominator
	}
	// Numerator and denominator times 4 exp(-2x), which cannot overflow; the
	// largest x that still matters keeps x exp(-2x) from becoming Inf times 0.
	x = min(x, 400)
	decay := math.Exp(-2 * x)
	return ((1-decay)*(1-decay) - 4*x*x*decay) / (1 - decay*decay + 4*x*decay)
}

// fewLayerTerms are enough up to x = 1/2: the rest is under 2e-18.
const fewLayerTerms = 9

// layerSeries holds the coefficients of (4 x^2)^n in
//
//	(sinh^2 x - x^2)/x^4 = sum of 8 (4 x^2)^n/(2n+4)!
//	(sinh 2x + 2x)/(2x) = 1 + sum of (4 x^2)^n/(2n+1)!
//
// The first left out is 1e-18 at x = 1.
var layerSeries = newLayerSeries()

func newLayerSeries() (series [13]struct{ numerator, denominator float64 }) {
	odd := 1.0 // (2n+1)!
	for n := range series {
		next := odd * float64((2*n+2)*(2*n+3))
		series[n].numerator = 8 / (next * float64(2*n+4))
		series[n].denominator = 1 / odd
		odd = next
	}
	series[0].denominator++
	return series
}
