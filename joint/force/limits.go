package force

import "math"

// ScrewUtilisation returns how far tension and torsion of tightening use up a screw:
// sigma_v/(0.9 R_p), over 1 when it is overloaded (VDI 2230):
//
//	sigma = F/A_s, tau = 16 T/(pi d_s^3), sigma_v = sqrt(sigma^2 + 3 tau^2)
//
// axial is F, N; threadTorque T, N*m, from ThreadTorque (add the prevailing torque
// of a locking thread); yield R_p, Pa, > 0. The torsion is elastic. VDI 2230 lets
// the section yield through, tau = 12 T/(pi d_s^3), and so allows some 10 % more
// force; this is the safe side of it.
func ScrewUtilisation(axial, threadTorque, yield float64, t *Thread) float64 {
	d := t.StressDiameter()
	return equivalentStress(axial/t.StressArea, threadTorque*16/(math.Pi*d*d*d)) / (0.9 * yield)
}

// equivalentStress is von Mises' stress of tension and shear.
func equivalentStress(tension, shear float64) float64 {
	return math.Sqrt(tension*tension + 3*shear*shear)
}

// StrippingUtilisation returns how far an axial force, N, uses up the threads over
// a length of engagement, m, > 0: force over shear area times shear strength, over 1
// when they strip (FED-STD-H28; Shigley). nutShear and screwShear are the shear
// strengths of the tapped part and of the screw, Pa, > 0. The tapped part is the
// softer one in a clamp; screwShear = 0 leaves the screw's thread out, otherwise
// the weaker of the two decides. The areas are those at the least favourable limits
// of size, see Thread.NutShearArea.
func StrippingUtilisation(axial, engagement, nutShear, screwShear float64, t *Thread) float64 {
	capacity := t.NutShearArea() * nutShear
	if screwShear > 0 {
		capacity = min(capacity, t.ScrewShearArea()*screwShear)
	}
	return axial / (engagement * capacity)
}

// MeanPressure returns force/area, in Pa from N and m2. No force gives 0, whatever
// the area; a force on no area +Inf.
func MeanPressure(force, area float64) float64 {
	if force == 0 {
		return 0
	}
	return force / area
}

// HoldingUtilisation returns how far an acceleration uses up the grip on a card,
// demand over capacity: mass acceleration/(friction force), over 1 when the card
// slides. mass in kg, acceleration in m/s2, friction of the faces that hold, force
// the sum of the normal forces on them, N. No demand gives 0; a demand on no
// capacity (no force or no friction) +Inf.
func HoldingUtilisation(mass, acceleration, friction, force float64) float64 {
	demand := mass * acceleration
	if demand == 0 {
		return 0
	}
	return demand / (friction * force)
}
