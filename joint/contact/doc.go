// Package contact computes the thermal conductance of one pressed face: the
// solid spots, the gas between them, and what the lack of flatness takes away.
//
// A face is never in full contact. Under a few megapascal only about a
// thousandth of two machined faces touches: heat crosses at these solid spots
// (coefficient h_c) and, in parallel, through the gas in the micro-gap
// (h_g). If the faces are wavy, the spots gather in strips; heat must converge
// to the strips (constriction) and what lies between them carries gas only.
// The order of the computation is therefore
//
//	force, flatness        -> contact fraction, mean gap, constriction   (flatness.go, bow.go)
//	local pressure, finish -> spots and micro-gap                        (pair.go)
//	coats                  -> what the spots lose or gain in them        (coat.go)
//	gas                    -> conductivity, temperature jump, radiation  (gas.go)
//	all of them            -> coefficient and conductance of the face    (face.go)
//
// Evaluate follows it for one face and says all of it; Bench.Conduct follows it for many at once
// and gives their conductances (block_stages.go, conduct.go).
//
// Everything is SI and deterministic, and nothing allocates per face.
//
// A spot has a radius of some micrometres. Under an anodic film of 10 um the heat
// therefore gathers inside the film, which conducts a hundredth of what the metal
// does, and h_c falls a hundredfold; the film's own t/k would be a trifle. A coat is
// given per body (Body.Coat). For each side of a spot in its flux tube of radius b,
//
//	C = R(coat)/R(bare),  h_c -> h_c (1/k_1 + 1/k_2)/(C_1/k_1 + C_2/k_2)
//	R = (2/(pi k_c b)) sum_n sin(d_n eps) J1(d_n eps) Phi_n/(eps^2 d_n^3 J0(d_n)^2)
//	Phi_n = (1 + G q)/(1 - G q),  q = exp(-2 d_n t/b),  G = (k_c - k)/(k_c + k),  J1(d_n) = 0
//	a = sqrt(8/pi) (sigma/m) exp(lambda^2) erfc(lambda),  erfc(lambda) = 2 P_l/H,  eps = a/b = sqrt(P_l/H)
//
// for the flux of an isothermal spot. C comes from two tables made when the first
// coat is met, good to 1e-6 for 1e-4 <= k_c/k <= 20 in the spot law's range (1.4e-5 up
// to 100 and to P_l/H = 0.04). The gas in the gap feels a coat one-dimensionally
// only, so that between coated faces in air it carries most of the heat.
//
// Published are the parts: plastic contact (Cooper, Mikic and Yovanovich 1969
// with the exponent of 1982), elastic spots (Mikic 1974), the gap model
// (Yovanovich 1982, Antonetti 1983), closing of a wavy face (Westergaard 1939),
// the isothermal strip in a channel (Veziroglu and Chandra 1969), coated spots (Mikic
// and Carnasciali 1970, Yip 1974, Dryden 1983), soft coats on hard bodies (Antonetti
// and Yovanovich 1985). The way they
// are put together is this project's own and marked [own] where it happens.
//
// Which hardness a thin coat leaves is a rule, not a measurement, and counts in the
// contact factor. Beside measured joints, their pressure and finish assumed, the model
// loses within a factor of two as much to thick anodic films as was found, and gains 1.3,
// 2.4 and 9 times too much from thin tin, lead and indium (outside_coat_test.go): do not
// count on a soft coat without a test.
//
// What the model leaves out: hysteresis (a joint that was pressed harder before
// conducts better than on first loading; the model is cautious there), creep, more
// than one wave per direction, the softening of the strip's edge by roughness,
// side leakage at the ends, and any change of the surface in service.
// Handbook values of one and the same nominal joint scatter by a factor of two;
// the contact factor of Evaluate stands for that and is meant to be sampled.
//
// The series rule itself is cautious: against a resolved interface (a test solves
// one) it is 1 to 5 % low for a crown across a face of some millimetres, and up to
// 45 % low for a long wave between thick bodies shortly before it closes.
package contact
