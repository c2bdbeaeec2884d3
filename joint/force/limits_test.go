package force

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestFitOf(t *testing.T) {
	for _, c := range []struct {
		expansion float64
		want      Fit
	}{
		{-1e-9, DoesNotEnter},
		{math.Inf(-1), DoesNotEnter},
		{0, Seated},
		{0.3e-3, Seated},
		{0.5e-3, Seated},
		{0.5000001e-3, OutOfTravel},
		{math.NaN(), OutOfTravel},
	} {
		assert.Equal(t, c.want, FitOf(c.expansion, 0.5e-3), c.expansion)
	}
	assert.Equal(t, []string{"unset", "seated", "does not enter", "out of travel"},
		[]string{Fit(0).String(), Seated.String(), DoesNotEnter.String(), OutOfTravel.String()})
}

func TestRampOverlap(t *testing.T) {
	var ramp Angle
	ramp.Turn(math.Asin(0.6)) // 3-4-5
	assert.InEpsilon(t, 9e-3, ramp.Overlap(6e-3, 0.6e-3), 1e-14)
	assert.Zero(t, ramp.Overlap(1e-3, 2e-3))
}

func TestScrewUtilisationParts(t *testing.T) {
	m5 := named(t, "M5")
	d := m5.StressDiameter()
	assert.InEpsilon(t, 1/0.9, ScrewUtilisation(500e6*m5.StressArea, 0, 500e6, m5), 1e-14, "tension alone")
	shear := 100e6 * math.Pi * d * d * d / 16
	assert.InEpsilon(t, math.Sqrt(3)*100e6/(0.9*500e6), ScrewUtilisation(0, shear, 500e6, m5), 1e-14, "torsion alone")
}

func TestWeakerThreadStripsFirst(t *testing.T) {
	m3 := named(t, "M3")
	nut := StrippingUtilisation(1000, 6e-3, 186e6, 0, m3)
	assert.Equal(t, nut, StrippingUtilisation(1000, 6e-3, 186e6, 500e6, m3), "a strong screw does not matter")
	// The screw's shear area is 0.70 of the nut's, so at equal strength it decides.
	assert.InEpsilon(t, nut*m3.NutShearArea()/m3.ScrewShearArea(), StrippingUtilisation(1000, 6e-3, 186e6, 186e6, m3), 1e-14)
	assert.InEpsilon(t, nut/2, StrippingUtilisation(1000, 12e-3, 186e6, 0, m3), 1e-14)
}

func TestMeanPressure(t *testing.T) {
	assert.Equal(t, 2e6, MeanPressure(100, 50e-6))
	assert.Zero(t, MeanPressure(0, 0))
	assert.True(t, math.IsInf(MeanPressure(1, 0), 1))
}

func TestHoldingUtilisation(t *testing.T) {
	assert.InEpsilon(t, 0.5, HoldingUtilisation(0.5, 100, 0.2, 500), 1e-15)
	assert.True(t, math.IsInf(HoldingUtilisation(0.5, 100, 0.2, 0), 1))
	assert.True(t, math.IsInf(HoldingUtilisation(0.5, 100, 0, 500), 1))
	assert.Zero(t, HoldingUtilisation(0.5, 0, 0.2, 0))
}
