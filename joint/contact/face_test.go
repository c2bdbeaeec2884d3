package contact

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestFlatFaceIsSpotsAndGas(t *testing.T) {
	pair := twoEqual(notesBody, 1.6e-6, 0.12, 2e-5)
	out := flat(pair, notesGas, 2e6)
	assert.Equal(t, 1.0, out.ContactFraction)
	assert.Equal(t, 2e6, out.LocalPressure)
	assert.Zero(t, out.MeanGap)
	assert.Zero(t, out.OpenCoefficient)
	assert.Zero(t, out.ConstrictionResistance)
	separation := 1.53 * 1.6e-6 * math.Pow(2e6/1.1e9, -0.097)
	assert.InEpsilon(t, 0.028/(separation+0.37e-6), out.GasCoefficient, 1e-12)
	assert.InEpsilon(t, 1.25*167*0.12/1.6e-6*math.Pow(2e6/1.1e9, 0.95), out.SpotCoefficient, 1e-12)
	assert.InEpsilon(t, 1/(1/(out.SpotCoefficient+out.GasCoefficient)+2e-5), out.Coefficient, 1e-12)
	assert.InEpsilon(t, out.Coefficient, out.ZoneCoefficient, 1e-12)
	assert.InEpsilon(t, out.Coefficient, out.Conductance, 1e-12) // 1 m2
}

// TestPartsAddUp checks the series rule of one partly closed direction from the
// parts reported, with film, radiation and contact factor.
func TestPartsAddUp(t *testing.T) {
	pair := twoEqual(notesBody, 1.6e-6, 0.12, 2e-5)
	gas := notesGas
	gas.Radiation = 0.4
	face := Face{Length: 0.03, Width: 0.006, Crown: 5e-6, Taper: 2e-6}
	out := evaluate(pair, gas, face, 400, 0.7)
	one := evaluate(pair, gas, face, 400, 1)
	f, separation := out.ContactFraction, 1.53*1.6e-6*math.Pow(out.LocalPressure/1.1e9, -0.097)
	assert.InEpsilon(t, 400/(0.03*0.006), out.Pressure, 1e-12)
	assert.InEpsilon(t, out.Pressure/f, out.LocalPressure, 1e-12)
	assert.InEpsilon(t, f/(1/(one.SpotCoefficient+one.GasCoefficient+0.4)+2e-5), one.ZoneCoefficient, 1e-12)
	assert.InEpsilon(t, 0.7*one.ZoneCoefficient, out.ZoneCoefficient, 1e-12)
	assert.InEpsilon(t, one.ConstrictionResistance/0.7, out.ConstrictionResistance, 1e-12)
	gap := 0.028/(out.MeanGap/(1-f)+separation+0.37e-6) + 0.4
	assert.InEpsilon(t, (1-f)/(1/gap+2e-5), out.OpenCoefficient, 1e-12)
	assert.InEpsilon(t, 1/(1/out.ZoneCoefficient+out.ConstrictionResistance)+out.OpenCoefficient, out.Coefficient, 1e-12)
	assert.InEpsilon(t, out.Coefficient*0.03*0.006, out.Conductance, 1e-12)
	assert.False(t, out.GasGoverns)
}

func TestUnloadedFaceIsGasOnly(t *testing.T) {
	gas := notesGas
	gas.Radiation = 0.4
	face := Face{Length: 0.02, Width: 0.006, Crown: 6e-6, Taper: 2e-6}
	for _, force := range []float64{0, -5, math.Inf(-1)} {
		out := evaluate(notesPair, gas, face, force, 0.5)
		gap := 4e-6 + 1.53*1.6e-6*math.Pow(1e-5, -0.097) + 0.37e-6
		assert.InEpsilon(t, 0.028/gap+0.4, out.Coefficient, 1e-12)
		assert.Equal(t, out.Coefficient, out.OpenCoefficient)
		assert.Zero(t, out.Pressure)
		assert.Zero(t, out.ContactFraction)
		assert.Zero(t, out.ZoneCoefficient)
		assert.Equal(t, 4e-6, out.MeanGap)
		assert.False(t, out.PressureBelowRange)
		assert.False(t, out.GasGoverns)
	}
	// Radiation alone in vacuum.
	out := evaluate(notesPair, GasState{Radiation: 0.4}, face, 0, 1)
	assert.InEpsilon(t, 0.4*0.02*0.006, out.Conductance, 1e-12)
	// A segment of no length conducts nothing, loaded or not.
	face.Length = 0
	assert.Zero(t, evaluate(notesPair, gas, face, 0, 1).Conductance)
	assert.Zero(t, evaluate(notesPair, gas, face, 100, 1).Conductance)
}

func TestUnloadedFaceUnderAnOpenBow(t *testing.T) {
	face := Face{Length: 0.02, Width: 0.006, Crown: 6e-6, Along: thickBow(20e-6).Close(0, 167)}
	out := evaluate(notesPair, notesGas, face, 100, 1) // no strip to carry it
	assert.Zero(t, out.ContactFraction)
	gap := 3e-6 + 10e-6 + 1.53*1.6e-6*math.Pow(1e-5, -0.097) + 0.37e-6
	assert.InEpsilon(t, 0.028/gap, out.Coefficient, 1e-12)
	assert.InEpsilon(t, 13e-6, out.MeanGap, 1e-12)
}

// TestBowAroundCrown checks the nesting of both directions: the strips left by the
// bow behave as a face of their own under the pressure P/f_y.
func TestBowAroundCrown(t *testing.T) {
	along := Partial{Fraction: 0.4, Gap: 5e-6, Constriction: 2e-5}
	face := Face{Length: 0.1, Width: 0.006, Crown: 4e-6}
	strip := evaluate(notesPair, notesGas, face, 1000/0.4, 1)
	face.Along = along
	out := evaluate(notesPair, notesGas, face, 1000, 1)
	assert.InEpsilon(t, strip.LocalPressure, out.LocalPressure, 1e-12)
	assert.InEpsilon(t, 0.4*strip.ContactFraction, out.ContactFraction, 1e-12)
	assert.InEpsilon(t, strip.MeanGap+5e-6, out.MeanGap, 1e-12)
	assert.InEpsilon(t, strip.ConstrictionResistance/0.4+2e-5, out.ConstrictionResistance, 1e-12)
	separation := 1.53 * 1.6e-6 * math.Pow(out.LocalPressure/1.1e9, -0.097)
	beside := 0.6 * 0.028 / (5e-6/0.6 + strip.MeanGap + separation + 0.37e-6)
	assert.InEpsilon(t, 1/(1/(0.4*strip.Coefficient)+2e-5)+beside, out.Coefficient, 1e-12)
	assert.InEpsilon(t, 0.4*strip.OpenCoefficient+beside, out.OpenCoefficient, 1e-12)
	// The contact factor divides both constrictions.
	factored := evaluate(notesPair, notesGas, face, 1000, 0.7)
	assert.InEpsilon(t, out.ConstrictionResistance/0.7, factored.ConstrictionResistance, 1e-12)
	face.Along = Partial{}
	strip = evaluate(notesPair, notesGas, face, 1000/0.4, 0.7)
	assert.InEpsilon(t, 1/(1/(0.4*strip.Coefficient)+2e-5/0.7)+beside, factored.Coefficient, 1e-12)
}

func TestGasGovernsBetweenPoorConductors(t *testing.T) {
	steel := Body{Conductivity: 16, Modulus: 193e9, Poisson: 0.33, Hardness: 3e9, Roughness: 1.13e-6, Slope: 0.085}
	pair := mustPair(steel, steel, 0)
	bow := Bow{Height: 4e-6, Length: 0.13, Stiffness: BowStiffness(0.13, Layer{193e9, 0.33, math.Inf(1)}, Layer{193e9, 0.33, math.Inf(1)})}
	face := Face{Length: 0.13, Width: 0.006, Along: bow.Close(2e6, pair.Conductivity)}
	out := evaluate(pair, notesGas, face, 2e6*0.13*0.006, 1)
	series := 1/(1/out.ZoneCoefficient+out.ConstrictionResistance) + out.OpenCoefficient
	assert.True(t, out.GasGoverns)
	assert.Greater(t, out.Coefficient, 1.2*series)
	// The bound is still below the resolved interface.
	beside := out.OpenCoefficient / (1 - out.ContactFraction)
	strip := out.ZoneCoefficient / out.ContactFraction
	assert.Less(t, out.Coefficient, resolved(0.13, pair.Conductivity, stepped(200, out.ContactFraction, strip, beside)))
}

func TestRangeFlags(t *testing.T) {
	for _, c := range []struct {
		relative     float64
		below, above bool
	}{{0.99e-6, true, false}, {1.01e-6, false, false}, {2.29e-2, false, false}, {2.31e-2, false, true}} {
		out := flat(notesPair, notesGas, c.relative*notesPair.Hardness)
		assert.Equal(t, c.below, out.PressureBelowRange, "P/H = %g", c.relative)
		assert.Equal(t, c.above, out.PressureAboveRange, "P/H = %g", c.relative)
	}
}

func TestGapLawIsHeldAtItsEnds(t *testing.T) {
	low, high := flat(notesPair, notesGas, 1e-8*1.1e9), flat(notesPair, notesGas, 0.5*1.1e9)
	assert.InEpsilon(t, 0.028/(1.53*1.6e-6*math.Pow(1e-5, -0.097)+0.37e-6), low.GasCoefficient, 1e-12)
	assert.InEpsilon(t, 0.028/(1.53*1.6e-6*math.Pow(2e-2, -0.097)+0.37e-6), high.GasCoefficient, 1e-12)
	assert.InEpsilon(t, math.Pow(1e-5, -0.097), unloadedSeparation, 1e-15)
}
