package force

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	_ "clampodds/testdata/fixedseed"
)

// anyThread draws a thread of the table.
func anyThread(r *rapid.T) *Thread {
	t := rapid.SampledFrom(threads).Draw(r, "thread")
	return &t
}

func TestAxialForceIsTheInverseOfTorqueFor(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		thread := anyThread(r)
		torque := rapid.Float64Range(0.01, 200).Draw(r, "torque")
		prevailing := torque * rapid.Float64Range(0, 0.9).Draw(r, "prevailing")
		mu := rapid.Float64Range(0, 2).Draw(r, "thread friction")
		head := rapid.Float64Range(0, 2).Draw(r, "head friction")
		d := rapid.Float64Range(0, 0.03).Draw(r, "bearing diameter")
		axial := AxialForce(torque, prevailing, mu, head, d, thread)
		// The subtraction of up to 0.9 of the torque costs a digit.
		assert.InEpsilon(r, torque, TorqueFor(axial, prevailing, mu, head, d, thread), 1e-14)
		assert.InEpsilon(r, torque-prevailing, ThreadTorque(axial, mu, thread)+axial*head*d/2, 1e-14)
	})
}

func TestAxialForceNotClamped(t *testing.T) {
	m3 := named(t, "M3")
	assert.Zero(t, AxialForce(0.1, 0.1, 0.15, 0.15, 4e-3, m3))
	assert.Zero(t, AxialForce(0.1, 0.2, 0.15, 0.15, 4e-3, m3))
	assert.Zero(t, AxialForce(0, 0, 0, 0, 0, m3))
	assert.Equal(t, 0.2, TorqueFor(0, 0.2, 0.15, 0.15, 4e-3, m3))
	assert.True(t, math.IsNaN(AxialForce(math.NaN(), 0, 0.15, 0.15, 4e-3, m3)))
}

func TestAxialForceWithoutFrictionIsTheLead(t *testing.T) {
	// All work goes into the lead: F P = 2 pi T.
	m3 := named(t, "M3")
	assert.InEpsilon(t, 2*math.Pi*0.8/m3.Pitch, AxialForce(0.8, 0, 0, 0, 0, m3), 1e-14)
}

func TestAxialForceIsMonotonic(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		thread := anyThread(r)
		draw := func(name string, high float64) (a, b float64) {
			a = rapid.Float64Range(0, high).Draw(r, name)
			return a, rapid.Float64Range(a, high).Draw(r, name+" higher")
		}
		t0, t1 := draw("torque", 200)
		p0, p1 := draw("prevailing", 2)
		m0, m1 := draw("thread friction", 2)
		h0, h1 := draw("head friction", 2)
		d := rapid.Float64Range(0, 0.03).Draw(r, "bearing diameter")
		base := AxialForce(t0, p0, m0, h0, d, thread)
		ulp := 1 + 1e-15 // rounding of a longer arm
		assert.GreaterOrEqual(r, AxialForce(t1, p0, m0, h0, d, thread)*ulp, base)
		assert.LessOrEqual(r, AxialForce(t0, p1, m0, h0, d, thread), base*ulp)
		assert.LessOrEqual(r, AxialForce(t0, p0, m1, h0, d, thread), base*ulp)
		assert.LessOrEqual(r, AxialForce(t0, p0, m0, h1, d, thread), base*ulp)
	})
}

// All lengths times s and all torques times s leave every force as it is.
func TestAxialForceScales(t *testing.T) {
	m4 := named(t, "M4")
	for _, s := range []float64{0.5, 1.9, 2.7} {
		scaled, err := NewThread(s*m4.Pitch, s*m4.PitchDiameter, s*s*m4.StressArea)
		assert.NoError(t, err)
		want := AxialForce(1.5, 0.2, 0.12, 0.2, 6e-3, m4)
		got := AxialForce(s*1.5, s*0.2, 0.12, 0.2, s*6e-3, scaled)
		assert.InEpsilon(t, want, got, 1e-13)
		torque, scaledTorque := ThreadTorque(want, 0.12, m4), ThreadTorque(want, 0.12, scaled)
		assert.InEpsilon(t, s*torque, scaledTorque, 1e-13)
		assert.InEpsilon(t, ScrewUtilisation(want, torque, 450e6, m4)/(s*s),
			ScrewUtilisation(want, scaledTorque, 450e6, scaled), 1e-13)
	}
}

func TestPreload(t *testing.T) {
	assert.Equal(t, 1000.0, Preload(1000, 0, 0))
	assert.Equal(t, 850.0, Preload(1000, 0.25, 100))
	assert.Zero(t, Preload(1000, 0.25, -800))
	assert.Zero(t, Preload(0, 0, 500), "an unclamped screw does not follow the expansion")
	assert.Zero(t, Preload(1000, 1, 500), "nor one that lost everything")
	assert.True(t, math.IsNaN(Preload(math.NaN(), 0, 0)))
}

func TestPreloadChangeVanishesForEqualExpansion(t *testing.T) {
	m := Mismatch{TrainExpansion: 23e-6, ScrewExpansion: 23e-6, Length: 0.1, ScrewCompliance: 1e-7, TrainCompliance: 5e-8}
	assert.Zero(t, m.PreloadChange(60))
	m.ScrewExpansion = 12e-6
	assert.Positive(t, m.PreloadChange(60))
	assert.Equal(t, -m.PreloadChange(60), m.PreloadChange(-60))
}
