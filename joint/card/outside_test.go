package card

import (
	"testing"

	"clampodds/joint/contact"
	"clampodds/joint/force"
	"clampodds/joint/network"
	"clampodds/reports/validation"
)

// milled is practice with milled faces (2 um rms), a rail that is 20 um out of
// parallel and 20 um crowned over its 6 mm, and 0.1 K/W of chassis behind each
// rail. A drawing allows these values; they were picked to lie inside the bands of
// practice, so the bands below show what the model can reach, not what it predicts.
// With ground faces and 5 um (practice itself) the direct face takes 89 %.
var milled = map[string]float64{
	"clamp.roughness": 2e-6, "flange.roughness": 2e-6, "rail.roughness": 2e-6,
	"face.direct.crown": 20e-6, "face.direct.taper": 20e-6,
	"wall.lower_resistance": 0.1, "wall.upper_resistance": 0.1, "wall.side_resistance": 0.1,
}

// finCase is the network's lumped flange against the exact fin.
func finCase(t *testing.T, coefficient, exact, noWorse float64, name string) validation.Case {
	const k, thickness, width, length = 167, 3e-3, 6e-3, 0.13
	b := &network.Builder{}
	inner, under := b.Node("inner edge"), b.Node("under the clamp")
	b.Link(inner, under)
	b.Ground(under)
	return validation.Case{
		Name: name, Source: "adiabatic-tip fin, Incropera and DeWitt, Fundamentals of Heat and Mass Transfer", Standing: validation.Computed,
		Unit: "K/W", Expected: exact, Obtained: resistanceOf(t, b, []float64{3 * k * thickness * length / width, coefficient * width * length}),
		Relative: 1e-4, Differs: "the network keeps the first term of the fin only, the cautious side", NoWorse: noWorse,
	}
}

func TestOutsideCardJoint(t *testing.T) {
	const practice = "common practice"
	chain := func(anchor force.Anchor) map[string]float64 {
		l := testLayout(TwoFace, 5)
		l.Anchor = anchor
		return result(testModel(t, l, map[string]float64{"screw.torque": 0.8, "screw.preload_loss": 0}))
	}
	two, four := result(testModel(t, testLayout(TwoFace, 5), milled)), result(testModel(t, testLayout(FourFace, 5), milled))
	ground := result(testModel(t, testLayout(TwoFace, 5), nil))
	evacuated := testLayout(TwoFace, 5)
	evacuated.Gas = contact.Vacuum
	vacuum := result(testModel(t, evacuated, milled))

	validation.Check(t, "Card joint", []validation.Case{
		{Name: "M3, 0.8 N*m, friction 0.15, D_h 4.235 mm: screw force", Source: "ISO 16047, exact form", Standing: validation.Computed, Unit: "N", Expected: 1272, Obtained: chain(force.End)["force.axial.left"], Relative: 0.006, Reason: "the value is by the linear torque form, which gives 0.5 % more here"},
		{Name: "the same, 5 pieces fixed at the end: face force", Source: "statics of the train, all pieces solved", Standing: validation.Computed, Unit: "N", Expected: 2500, Obtained: chain(force.End)["force.face.left"], Relative: 0.006, Reason: "the value is by the linear torque form, which gives 0.5 % more here"},
		{Name: "the same, drawn in from both ends: face force", Source: "statics of the train, all pieces solved", Standing: validation.Computed, Unit: "N", Expected: 3048, Obtained: chain(force.Centre)["force.face.left"], Relative: 0.006, Reason: "the value is by the linear torque form, which gives 0.5 % more here"},
		finCase(t, 5000, 0.28641, 1.003, "flange 3 mm by 6 mm by 130 mm, k 167 W/mK, 5000 W/m2K: lumped resistance"),
		finCase(t, 20000, 0.09222, 1.03, "flange 3 mm by 6 mm by 130 mm, k 167 W/mK, 20 000 W/m2K: lumped resistance"),
		{Name: "milled two-face clamp, 130 mm: resistance of an edge", Source: "wedge clamp at a card edge, 2 C in/W at sea level, Steinberg, Cooling Techniques for Electronic Equipment", Standing: validation.FromMemory, Unit: "K/W", Expected: 0.391, Obtained: two["resistance.left"], Factor: 1.25, Reason: "one digit given, 1.5 to 2.5 C in/W; finish picked, see the milled share below"},
		{Name: "milled two-face clamp, 130 mm, without air: resistance of an edge above that with air", Source: "about 30 % at very high altitude, Steinberg", Standing: validation.FromMemory, Unit: "%", Expected: 30, Obtained: 100 * (vacuum["resistance.left"]/two["resistance.left"] - 1), Absolute: 5, Differs: "less of the heat crosses gas here than in the clamp behind the rule, whose finish and pressure are not stated: the model may be low on the penalty of altitude", NoWorse: 2.2},
		{Name: "milled two-face clamp: resistance of an edge", Source: practice, Standing: validation.Practice, Unit: "K/W", Low: 0.2, High: 0.5, Obtained: two["resistance.left"], Reason: "finish picked to lie inside"},
		{Name: "ground two-face clamp: resistance of an edge", Source: practice, Standing: validation.Practice, Unit: "K/W", Low: 0.2, High: 0.5, Obtained: ground["resistance.left"], Reason: "ground faces, 5 um out of flat"},
		{Name: "milled two-face clamp: share of the direct face", Source: practice, Standing: validation.Practice, Low: 0.70, High: 0.80, Obtained: two["share.direct"], Reason: "finish picked to lie inside"},
		{Name: "ground two-face clamp: share of the direct face", Source: practice, Standing: validation.Practice, Low: 0.70, High: 0.80, Obtained: ground["share.direct"], Differs: "ground flat faces let the direct face carry more; the band is for clamps as found, milled and not quite parallel", NoWorse: 1.2},
		{Name: "milled four-face clamp: share of the direct face, about 40 %", Source: practice, Standing: validation.Practice, Expected: 0.40, Obtained: four["share.direct"], Absolute: 0.05, Reason: "about; finish picked"},
		{Name: "milled four-face clamp: share of the upper rail, about 30 %", Source: practice, Standing: validation.Practice, Expected: 0.30, Obtained: four["share.upper"], Absolute: 0.05, Reason: "about; finish picked"},
		{Name: "milled four-face clamp: share of the side wall, about 30 %", Source: practice, Standing: validation.Practice, Expected: 0.30, Obtained: four["share.side"], Absolute: 0.05, Reason: "about; finish picked"},
		{Name: "joint rise, four-face under two-face: less by about a third", Source: practice, Standing: validation.Practice, Unit: "%", Expected: 33, Obtained: 100 * (1 - four["resistance.left"]/two["resistance.left"]), Absolute: 5, Differs: "bare faces give about half, so the model is kinder to the four-face clamp than practice; a third less needs an anodic film on every wall face", NoWorse: 1.65},
		{Name: "card of 100 W: edge cooler with the four-face clamp, up to 5 K", Source: practice, Standing: validation.Practice, Unit: "K", Low: 0, High: 5, Obtained: two["edge.hotter"] - four["edge.hotter"], Differs: "half of the joint rise goes in place of a third, and the milled joint that it goes from is a poor one", NoWorse: 2},
	})
}
