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
//	gas                    -> conductivity, temperature jump, radiation  (gas.go, atmosphere.go)
//	all of them            -> coefficient and conductance of the face    (face.go)
//
// Everything is SI and deterministic, and nothing allocates per face.
//
// Published are the parts: plastic contact (Cooper, Mikic and Yovanovich 1969
// with the exponent of 1982), elastic spots (Mikic 1974), the gap model
// (Yovanovich 1982, Antonetti 1983), closing of a wavy face (Westergaard 1939),
// the isothermal strip in a channel (Veziroglu and Chandra 1969). The way they
// are put together is this project's own and marked [own] where it happens.
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
