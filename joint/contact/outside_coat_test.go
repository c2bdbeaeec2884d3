package contact

import (
	"fmt"
	"math"

	"clampodds/reports/validation"
)

// coatCases hold the coat factor against other evaluations and limits of it.
func coatCases() []validation.Case {
	var cases []validation.Case
	for _, c := range []struct {
		ratio           float64
		tau, half, tube [4]float64
	}{
		{1.3 / 167, taus, [4]float64{2.561, 14.964, 80.256, 122.866}, [4]float64{2.797, 17.058, 91.325, 128.434}},
		{0.1, taus, [4]float64{1.120, 2.054, 6.711, 9.620}, [4]float64{1.138, 2.212, 7.500, 9.998}},
		{2.5, taus, [4]float64{0.977, 0.843, 0.530, 0.414}, [4]float64{0.974, 0.820, 0.478, 0.400}},
	} {
		for i, tau := range c.tau {
			for _, at := range []struct{ eps, expected float64 }{{0, c.half[i]}, {0.1, c.tube[i]}} {
				cases = append(cases, validation.Case{
					Name:   fmt.Sprintf("coat factor, k_c/k %.4g, t/a %g, a/b %g", c.ratio, tau, at.eps),
					Source: "series of the flux tube, summed independently", Standing: validation.Computed,
					Expected: at.expected, Obtained: coatFactorOf(c.ratio, max(at.eps, 1e-9), tau),
					Relative: 1e-3, Reason: "digits given",
				})
			}
		}
	}
	dryden := "Dryden 1983 (from memory)"
	for _, ratio := range []float64{1.3 / 167, 0.1, 2.5} {
		const thick, thin = 20.0, 1e-3
		cases = append(cases, validation.Case{
			Name:   fmt.Sprintf("coat factor on a half space, k_c/k %.4g, thick: (1 - 2/(pi tau) ln(2/(1 + K)))/K at tau 20", ratio),
			Source: dryden, Standing: validation.FromMemory,
			Expected: (1 - 2/(math.Pi*thick)*math.Log(2/(1+ratio))) / ratio, Obtained: coatFactorOf(ratio, 1e-9, thick),
			Relative: 1e-3, Reason: "the next term goes with tau^-3",
		}, validation.Case{
			Name:   "the same, thin: 1 + (4/pi) tau (1 - K^2)/K at tau 0.001",
			Source: dryden, Standing: validation.FromMemory,
			Expected: 1 + 4/math.Pi*thin*(1-ratio*ratio)/ratio, Obtained: coatFactorOf(ratio, 1e-9, thin),
			Relative: 0.005, Reason: "the next term goes with tau^1.5",
		})
	}
	return cases
}

var taus = [4]float64{0.01, 0.1, 1, 10}

// coatedJointCases set coated joints beside what abstracts of measurements say. None
// of the specimens' finish, flatness or pressures is in them: what is assumed stands in
// the name.
func coatedJointCases() []validation.Case {
	vacuum := mustGas(Vacuum, 300, 0)
	body := aluminiumBody()
	var cases []validation.Case
	const low = 0.5e6 // Pa
	for i, um := range []float64{60.9, 163.8} {
		thickness, noWorse := um*1e-6, []float64{2.4, 1.5}[i]
		bare := flat(machined(body, 0.7e-6), vacuum, low)
		joint := flat(machinedPair(anodised(body, thickness), body, 0.7e-6), vacuum, low)
		cases = append(cases, validation.Case{
			Name:   fmt.Sprintf("anodic film of %g um on 6061 in vacuum, conductivity seen by a joint less its bare contact, at low pressure: 0.5 MPa and 0.7 um rms assumed (the film itself has 1.3)", um),
			Source: "Peterson and Fletcher, J. Heat Transfer 112 (1990) 579, abstract: about 0.02, extrapolated to no pressure", Standing: validation.Published, Unit: "W/mK",
			Expected: 0.02, Obtained: thickness / (1/joint.Coefficient - 1/bare.Coefficient),
			Factor: 1.25, Reason: "the abstract gives one digit",
			Differs: "pressure and finish are not stated, and the model's value grows with the pressure; film in series alone would give 65 times as much",
			NoWorse: noWorse,
		})
	}
	kang := "Kang, Peterson and Fletcher, J. Heat Transfer 112 (1990) 864, abstract"
	for _, c := range []struct {
		name                              string
		thickness, conductivity, hardness float64 // m, W/mK, HV
		gain, noWorse                     float64
		differs                           string
	}{
		{"tin, 0.35 um", 0.35e-6, 66.6, 9, 1.5, 1.5, "the finish is assumed, and so is the hardness of the tin"},
		{"lead, 2 um", 2e-6, 35.3, 4.5, 5, 3, "finish and hardness are assumed; the more a coat helps the spots, the more the specimens' flatness, which is not known, would hold back"},
		{"indium, 2.5 um", 2.5e-6, 81.8, 1.1, 8, 11, "under so soft a coat flatness governs, which is not known; the model has flat faces"},
	} {
		coat := body
		coat.Coat = Coat{Thickness: c.thickness, Conductivity: c.conductivity, Hardness: c.hardness * 9.80665e6}
		before := flat(machined(body, 1.1e-6), vacuum, 0.15e6)
		after := flat(machinedPair(coat, body, 1.1e-6), vacuum, 0.15e6)
		cases = append(cases, validation.Case{
			Name:   "conductance over that of the bare joint, turned 6061, one face under " + c.name + "; 0.15 MPa and 1.1 um rms per face assumed, hardness of the coat from memory",
			Source: kang, Standing: validation.Published,
			Expected: c.gain, Obtained: after.Coefficient / before.Coefficient,
			Factor: 1.25, Reason: "the abstract rounds the gain to the next 10 to 50 %", Differs: c.differs, NoWorse: c.noWorse,
		})
	}
	return cases
}

// machinedPair is a pair of two bodies of the given rms roughness (m) each.
func machinedPair(first, second Body, roughness float64) Pair {
	first.Roughness, second.Roughness = roughness, roughness
	return mustPair(first, second, 0)
}
