package contact

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// TestWestergaardClosesTheGap loads an elastic half space (E' = 1) with the
// pressure of the partly closed wave (wavelength 1, amplitude 1, p* = pi) and
// looks at the gap that is left: none where it touches, open beside, and with the
// mean that the closed form states. The surface displacement of each harmonic is
// 2 p_n/(E' w_n).
func TestWestergaardClosesTheGap(t *testing.T) {
	const harmonics, points = 2000, 4096
	for _, q := range []float64{0.1, 0.3, 0.5, 0.9} {
		half := math.Asin(math.Sqrt(q)) / math.Pi // of the contact strip
		lift := make([]float64, harmonics)        // displacement amplitudes
		mean := 0.0
		for j := range points {
			// sin(pi x) = sqrt q sin s takes the root out of the pressure; the
			// integrand is then periodic and the midpoint rule exact.
			s := math.Pi * (float64(j) + 0.5) / points
			x := math.Asin(math.Sqrt(q)*math.Cos(s)) / math.Pi
			load := 2 * math.Pi * q / math.Pi * math.Sin(s) * math.Sin(s) * math.Pi / points
			mean += load
			for n := 1; n < harmonics; n++ {
				lift[n] += 2 * load * math.Cos(2*math.Pi*float64(n)*x) * 2 / (2 * math.Pi * float64(n))
			}
		}
		require.InEpsilon(t, math.Pi*q, mean, 1e-12, "the pressure carries the load")
		surface := func(x float64) float64 {
			u := 1 - math.Cos(2*math.Pi*x)
			for n := 1; n < harmonics; n++ {
				u += lift[n] * math.Cos(2*math.Pi*float64(n)*x)
			}
			return u
		}
		state := closeWave(q, 1, 1)
		assert.InEpsilon(t, 2*half, state.Fraction, 1e-12)
		touching := surface(0)
		// Terms beyond the last harmonic add up to about 1e-5.
		assert.InDelta(t, touching, surface(0.9*half), 3e-5)
		assert.InDelta(t, touching, surface(0.5*half), 3e-5)
		assert.Greater(t, surface(half+0.1*(0.5-half)), touching+1e-5)
		assert.InDelta(t, state.Gap, 1-touching, 3e-5, "mean gap at q = %g", q)
	}
}

// resolved solves the interface of one wave (length l, m) between two deep
// bodies (harmonic conductivity k) with a contact coefficient that varies along
// it, W/m2K: flux and temperature jump cell by cell, the bodies through their
// harmonics, 2/(k w_n) per flux amplitude. It returns the mean coefficient.
func resolved(length, conductivity float64, coefficient []float64) float64 {
	n := len(coefficient) // cells over half the wave
	system := mat.NewDense(n, n, nil)
	drop := mat.NewVecDense(n, nil)
	for i, h := range coefficient {
		system.Set(i, i, 1/h)
		drop.SetVec(i, 1)
	}
	for harmonic := 1; harmonic < n; harmonic++ {
		resistance := length / (math.Pi * float64(harmonic) * conductivity)
		shape := make([]float64, n)
		for i := range shape {
			shape[i] = math.Cos(math.Pi * float64(harmonic) * (float64(i) + 0.5) / float64(n))
		}
		for i := range n {
			for j := range n {
				system.Set(i, j, system.At(i, j)+2/float64(n)*resistance*shape[i]*shape[j])
			}
		}
	}
	var flux mat.VecDense
	if err := flux.SolveVec(system, drop); err != nil {
		panic(err)
	}
	return mat.Sum(&flux) / float64(n)
}

// stepped is strips of one coefficient over a fraction and another beside them.
func stepped(cells int, fraction, strip, beside float64) []float64 {
	h := make([]float64, cells)
	for i := range h {
		inside := min(max(fraction*float64(cells)-float64(i), 0), 1)
		h[i] = inside*strip + (1-inside)*beside
	}
	return h
}

func TestConstrictionIsThatOfTheIsothermalStrip(t *testing.T) {
	for _, q := range []float64{0.05, 0.3, 0.7} {
		state := closeWave(q, 1, 0.01/(math.Pi*167))
		// A strip that conducts all but perfectly between bodies otherwise insulated.
		h := resolved(0.01, 167, stepped(250, state.Fraction, 1e10, 1e-6))
		// The strip's edge is smeared over one cell: 2 %.
		assert.InEpsilon(t, 1/state.Constriction, h, 0.02, "q = %g", q)
	}
}

// TestSeriesRuleIsCautious holds the whole rule against the resolved interface:
// how good it is for a crown, how low for a long wave. The rule is never above by
// more than the 1 % of the resolution.
func TestSeriesRuleIsCautious(t *testing.T) {
	for _, c := range []struct {
		name             string
		width, height    float64 // m
		pressure, lowest float64 // Pa; lowest rule over resolved
	}{
		{"crown 2 um across 6 mm", 0.006, 2e-6, 0.5e6, 0.95},
		{"crown 2 um across 6 mm", 0.006, 2e-6, 2e6, 0.95},
		{"crown 2 um across 6 mm", 0.006, 2e-6, 8e6, 0.95},
		{"crown 10 um across 6 mm", 0.006, 10e-6, 2e6, 0.98},
		{"bow 25 um over 130 mm", 0.130, 25e-6, 0.5e6, 0.84},
		{"bow 25 um over 130 mm", 0.130, 25e-6, 2e6, 0.72},
		{"bow 25 um over 130 mm", 0.130, 25e-6, 8e6, 0.54},
	} {
		face := Face{Length: 1, Width: c.width, Crown: c.height}
		out := evaluate(notesPair, notesGas, face, c.pressure*c.width, 1)
		strip := out.ZoneCoefficient / out.ContactFraction
		beside := out.OpenCoefficient / (1 - out.ContactFraction)
		ratio := out.Coefficient / resolved(c.width, notesPair.Conductivity, stepped(250, out.ContactFraction, strip, beside))
		assert.Greater(t, ratio, c.lowest, "%s at %g Pa", c.name, c.pressure)
		assert.Less(t, ratio, 1.01, "%s at %g Pa", c.name, c.pressure)
	}
}

func TestCrownAndTaperClose(t *testing.T) {
	pressure := 3e6
	crown := Face{Width: 0.006, Crown: 4e-6}
	taper := Face{Width: 0.006, Taper: 4e-6}
	closure := func(height, wavelength float64) float64 {
		return math.Pi * notesPair.Modulus * height / 2 / wavelength
	}
	expect := func(q, height, wavelength float64) Partial {
		return closeWave(q, height/2, wavelength/(math.Pi*notesPair.Conductivity))
	}
	near := func(want, got Partial) {
		t.Helper()
		assert.InEpsilon(t, want.Fraction, got.Fraction, 1e-12)
		assert.InEpsilon(t, want.Gap, got.Gap, 1e-12)
		assert.InEpsilon(t, want.Constriction, got.Constriction, 1e-12)
	}
	near(expect(pressure/closure(4e-6, 0.006), 4e-6, 0.006), crown.across(&notesPair, pressure))
	// A taper is half a wave over the width: wavelength 12 mm.
	near(expect(pressure/closure(4e-6, 0.012), 4e-6, 0.012), taper.across(&notesPair, pressure))
	both := Face{Width: 0.006, Crown: 4e-6, Taper: 4e-6}
	sum := closure(4e-6, 0.006) + closure(4e-6, 0.012)
	near(expect(pressure/sum, 8e-6, 0.009), both.across(&notesPair, pressure))
	assert.Equal(t, closed, (&Face{Width: 0.006}).across(&notesPair, pressure))
}

func TestWaveJoinsAtClosure(t *testing.T) {
	nearly := closeWave(math.Nextafter(1, 0), 1, 1)
	assert.InDelta(t, 1, nearly.Fraction, 1e-7) // goes as sqrt(1 - q)
	assert.InDelta(t, 0, nearly.Gap, 1e-15)
	assert.InDelta(t, 0, nearly.Constriction, 1e-15)
	assert.Equal(t, closed, closeWave(1, 1, 1))
	for q := 1e-100; q < 1; q *= 10 {
		state := closeWave(q, 1, 1)
		assert.InEpsilon(t, 2/math.Pi*math.Asin(math.Sqrt(q)), state.Fraction, 1e-14)
		assert.True(t, state.Gap > 0 && state.Gap <= 1 && state.Constriction > 0 && !math.IsInf(state.Constriction, 0))
	}
}

// Short waves within a long one: where one has closed, the other is left; together
// fractions multiply, and what the short ones add is that of the strips.
func TestWavesWithinABow(t *testing.T) {
	long, short := Partial{0.5, 4e-6, 1e-5}, Partial{0.8, 1e-6, 2e-6}
	assert.Equal(t, long, Partial{}.Within(long))
	assert.Equal(t, long, closed.Within(long))
	assert.Equal(t, short, short.Within(closed))
	assert.Equal(t, short, short.Within(Partial{}))
	both := short.Within(long)
	assert.InEpsilon(t, 0.4, both.Fraction, 1e-15)
	assert.InEpsilon(t, 4.5e-6, both.Gap, 1e-15)
	assert.InEpsilon(t, 1.4e-5, both.Constriction, 1e-15)
	assert.Equal(t, Partial{Gap: 6e-6}, Partial{Gap: 2e-6}.Within(Partial{Gap: 4e-6}))
}
