package card

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"clampodds/joint/contact"
	"clampodds/joint/force"
)

// A clamp of three pieces drawn in from both ends, in vacuum, flat and bare, on
// rails and a card that are isothermal: every number by hand from the equations.
func TestThreePiecesByHand(t *testing.T) {
	l := testLayout(TwoFace, 3)
	l.Anchor, l.Gas = force.Centre, contact.Vacuum
	m := testModel(t, l, map[string]float64{
		"crown": 0, "face.direct.bow": 0, "face.direct.crown": 0, "face.direct.taper": 0, "face.piece.crown": 0,
		"face.upper.crown": 0, "face.upper.taper": 0, "face.ramp.crown": 0,
		"clamp.slope": 0.1, "flange.slope": 0.1, "rail.slope": 0.1, "screw.preload_loss": 0,
		"wall.lower_resistance": 1e-6, "wall.upper_resistance": 1e-6, "card.frame_resistance": 1e-6,
	})

	// Force: M3, friction 0.15, 45 degrees, two symmetric ramps.
	d2, flank := 2.6752e-3, math.Atan(0.15/math.Cos(math.Pi/6))
	axial := 0.7 / (d2/2*math.Tan(math.Atan(0.5e-3/(math.Pi*d2))+flank) + 0.15*4.235e-3/2)
	tangent := math.Tan(math.Pi/4 + math.Atan(0.15))
	through := axial / (1 + 0.15/tangent)
	end := through / tangent // force of an end piece; the middle one has twice that
	normal := end / ((1 - 0.15) / math.Sqrt2)

	// Faces: 1.25 k m/sigma (P/H)^0.95, aluminium on aluminium.
	sigma, slope := math.Sqrt2*1.13e-6, math.Sqrt2*0.1
	conductance := func(force, area float64) float64 {
		return 1.25 * 167 * slope / sigma * math.Pow(force/area/1.4e9, 0.95) * area
	}
	const length, width, height, thickness = 0.13 / 3, 6e-3, 6e-3, 2e-3
	metal := func(distance, area float64) float64 { return 167 * area / distance }
	series := func(g ...float64) float64 {
		sum := 0.0
		for _, v := range g {
			sum += 1 / v
		}
		return 1 / sum
	}
	pressed := conductance(end, (length+thickness)*width)
	// Trapezoids at 45 degrees: up, then along an end piece and half the middle one.
	up := metal(height/3, length*width) * math.Exp(0.5)
	base, top := conductance(end, length*width), conductance(2*end, length*width)
	behind := func(distance, base float64) float64 {
		closer := math.Exp(-2.5 / (distance/height + 3.3))
		rod := metal(distance, width*height)
		x := math.Sqrt(0.75 * base * distance / length / (rod * closer))
		return rod / closer * x * x / (x/math.Tanh(x) - 1)
	}
	piece := series(base, up)
	ramp := series(conductance(normal, (height-0.3e-3)*math.Sqrt2*width), behind(length, base), behind(length/2, top))
	upper := series(top, up)
	spread := metal(width/3, length*thickness)
	// The middle flange segment radiates over what the load cones leave.
	radiation := 4 * 5.670374419e-8 * math.Pow(333.15, 3) / (2/0.1 - 1) * (length - 2*thickness) * width

	outer := series(spread, pressed+series(piece, ramp, upper/2))
	resistance := 1 / (2*outer + series(spread, radiation))
	// The isothermal rails and card are 1e-6 K/W, of 0.3; d2 has five digits.
	assert.InEpsilon(t, resistance, result(m)["resistance.left"], 2e-5)
	assert.InEpsilon(t, 2*end, result(m)["force.face.left"], 2e-5)
}

// With faces, rails and frame that resist nothing, only the spreading across the
// flange is left: W/(3 k t B) of the odd pieces, the even ones being covered by
// the load cones.
func TestPerfectFacesLeaveConduction(t *testing.T) {
	l := testLayout(TwoFace, 5)
	m := testModel(t, l, map[string]float64{
		"contact.factor": 50, "contact.face_factor": 50, "clamp.roughness": 1e-9, "flange.roughness": 1e-9, "rail.roughness": 1e-9,
		"face.direct.crown": 0, "face.direct.taper": 0, "face.direct.bow": 0, "flange.thickness": 14e-3, "slot.width": 20.3e-3,
		"clamp.conductivity": 0.05, "wall.lower_resistance": 1e-6, "card.frame_resistance": 1e-6,
	})
	want := 6e-3 / (3 * 167 * 14e-3 * 0.13 * 3 / 5)
	assert.InEpsilon(t, want, result(m)["resistance.left"], 5e-3) // 1e-6 K/W and the clamp in parallel, of 5e-3
}

// A card s times as large, down to the roughness, with forces s^2, resistances
// 1/s and gas pressure 1/s, has 1/s of the resistance and the same stresses.
func TestGeometricSimilarity(t *testing.T) {
	const s = 1.7
	for _, family := range families {
		l := testLayout(family, 5)
		base := map[string]float64{
			"gas.pressure": 5e4, "clamp.slope": 0.1, "flange.slope": 0.12, "rail.slope": 0.09, "face.direct.film": 1e-5, "face.ramp.film": 3e-6,
			"screw.prevailing_torque": 0.05, "face.direct.crown": 8e-6, "rail.thickness": 0.05, "flange.thickness": 10e-3, "slot.width": 16.3e-3,
		}
		power := map[string]float64{"m": 1, "m2": 2, "N*m": 3, "K/W": -1, "m2K/W": 1}
		scaled := map[string]float64{}
		b := testBinding(t, l, base)
		for _, p := range Parameters(&l) {
			scaled[p.Key] = b.sources[b.slot(p.Key, b.Instances(p.Key)[0])].Value * math.Pow(s, power[p.Unit])
		}
		scaled["gas.altitude"] = 0
		scaled["gas.pressure"] = base["gas.pressure"] / s
		scaled["card.acceleration"] *= s * s
		large := l
		for _, length := range []*float64{
			&large.Thread.MajorDiameter, &large.Thread.Pitch, &large.Thread.PitchDiameter, &large.Thread.MinorDiameter, &large.Thread.NutMinorDiameter,
			&large.Thread.ScrewMajorMin, &large.Thread.ScrewPitchMin, &large.Thread.NutPitchMax, &large.Thread.NutMinorMax,
		} {
			*length *= s
		}
		large.Thread.StressArea *= s * s
		small, big := solved(t, b), solved(t, testBinding(t, large, scaled))
		same := func(name string, power float64) {
			// Radiation across the gaps does not scale: 0.4 W/m2K beside a gap's 1000 at the least.
			assert.InEpsilon(t, small[name]*math.Pow(s, power), big[name], 3e-4, name)
		}
		same("resistance.left", -1)
		same("force.axial.right", 2)
		same("force.face.left", 2)
		for _, name := range []string{"share.direct", "share.upper", "utilisation.screw", "utilisation.stripping", "utilisation.bearing", "utilisation.holding"} {
			same(name, 0)
		}
		assert.InEpsilon(t, (small["edge.left"]-323.15)/s, big["edge.left"]-323.15, 3e-4)
	}
}
