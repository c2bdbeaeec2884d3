// Package force follows the force through an expanding card clamp: screw torque
// to axial force (AxialForce), axial force through the train of wedge pieces
// (Train.Solve) to the normal force of every piece, whether the clamp fits its
// slot at all (FitOf), and what limits the torque from above (ScrewUtilisation,
// StrippingUtilisation) and the clamp from below (HoldingUtilisation).
//
// Everything is deterministic, in SI units with angles in radians, and allocates
// nothing; functions and values are safe for concurrent use. Only constructors
// and lookups check their input: the evaluate path takes the ranges written at
// each name as kept, and passes NaN on.
//
// What the model assumes: rigid pieces and Coulomb friction, full slip in the
// tightening direction on every ramp and on the walls of every piece that moves;
// no friction of the screw in its bores, no retaining spring, no tilt of the
// pieces; equal ramps. In a rigid slot the slip while loading is only the elastic
// closure, so the walls may mobilise less than their full friction: WallShare of
// TrainInputs says how much, 1 giving the lowest face force and 0 the highest.
// The face force follows the screw force down again (a lost preload lowers it in
// proportion), which is the safe reading: friction would hold the wedges until
// the screw has lost more.
package force

import "math"

// cosFlank is the cosine of the 30 degree flank half angle.
const cosFlank = 0.8660254037844387

// AxialForce returns the axial force of a screw, in N, after a torque, in N*m, was
// put on it (ISO 16047; exact form of the inclined plane, Shigley chapter 8):
//
//	F = (torque - prevailing)/[(d2/2) tan(lambda + rho) + headFriction bearingDiameter/2]
//	tan lambda = P/(pi d2), tan rho = threadFriction/cos 30 deg
//
// prevailing is the running torque of a locking thread, N*m; bearingDiameter the
// effective diameter of the bearing face under the head, m, the mean of its outer
// diameter and the hole by common use. The linear form of the standards' tables
// gives about 1.4 % less thread torque at a friction of 0.2.
//
// Ranges: torques >= 0, frictions 0 to 2, bearingDiameter >= 0.
// Special case: torque <= prevailing gives 0 (not clamped).
func AxialForce(torque, prevailing, threadFriction, headFriction, bearingDiameter float64, t *Thread) float64 {
	net := torque - prevailing
	if net <= 0 {
		return 0
	}
	return net / tighteningArm(threadFriction, headFriction, bearingDiameter, t)
}

// TorqueFor returns the torque, in N*m, that gives the axial force, in N: the
// inverse of AxialForce for axial > 0, and the prevailing torque for axial = 0.
func TorqueFor(axial, prevailing, threadFriction, headFriction, bearingDiameter float64, t *Thread) float64 {
	return prevailing + axial*tighteningArm(threadFriction, headFriction, bearingDiameter, t)
}

// ThreadTorque returns the part of the tightening torque that twists the screw's
// shank, in N*m: axial (d2/2) tan(lambda + rho), symbols as in AxialForce. The
// prevailing torque of a locking thread twists the shank too and is not in it.
func ThreadTorque(axial, threadFriction float64, t *Thread) float64 {
	return axial * threadArm(t.Pitch, t.PitchDiameter, threadFriction/cosFlank)
}

// tighteningArm is torque per axial force, m.
func tighteningArm(threadFriction, headFriction, bearingDiameter float64, t *Thread) float64 {
	return threadArm(t.Pitch, t.PitchDiameter, threadFriction/cosFlank) + float64(headFriction*bearingDiameter/2)
}

// threadArm is thread torque per axial force, m: (d2/2) tan(lambda + rho), where
// flankFriction = tan rho is the friction over the cosine of the flank half angle
// (1 for a square thread). A negative lead is a screw turned against its force.
func threadArm(lead, pitchDiameter, flankFriction float64) float64 {
	slope := lead / (math.Pi * pitchDiameter)
	return pitchDiameter / 2 * (slope + flankFriction) / (1 - float64(flankFriction*slope))
}

// Preload returns the axial force, in N, that is left of the force after
// tightening: axial (1 - loss) + change. loss, 0 to 1, is the share lost to
// embedding, vibration and cycling; change, in N, is Mismatch.PreloadChange or 0.
//
// Special cases: never below 0; and 0 when axial or what the loss leaves is 0,
// since a screw with slack in it does not follow the change.
func Preload(axial, loss, change float64) float64 {
	kept := float64(axial * (1 - loss))
	if kept <= 0 {
		return 0
	}
	return max(0, kept+change)
}

// Mismatch is a screw and the train it clamps, made of materials that expand
// differently.
type Mismatch struct {
	TrainExpansion  float64 // thermal expansion of the clamped train, 1/K
	ScrewExpansion  float64 // thermal expansion of the screw, 1/K
	Length          float64 // clamped length, m
	ScrewCompliance float64 // elongation of the screw per axial force, m/N, > 0
	TrainCompliance float64 // shortening of the train per axial force, m/N, >= 0
}

// PreloadChange returns the change of the axial force, in N, when the whole clamp
// warms by rise, in K, from the temperature of tightening (VDI 2230, with moduli
// that do not change):
//
//	(alpha_train - alpha_screw) rise L/(delta_S + delta_P)
//
// It is positive for a steel screw in a warming aluminium train.
func (m *Mismatch) PreloadChange(rise float64) float64 {
	return (m.TrainExpansion - m.ScrewExpansion) * rise * m.Length / (m.ScrewCompliance + m.TrainCompliance)
}

// TighteningScatter turns a tightening factor alpha_A = F_max/F_min >= 1 (VDI 2230)
// into the plus-or-minus share about the middle force: (alpha_A - 1)/(alpha_A + 1).
// The factor holds the scatter of friction and tool already: a preload drawn with
// it must not also be drawn from torque and friction.
func TighteningScatter(factor float64) float64 {
	return (factor - 1) / (factor + 1)
}

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
	return math.Sqrt(float64(tension*tension) + float64(3*shear*shear))
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
