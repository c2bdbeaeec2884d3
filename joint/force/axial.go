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
	return threadArm(t.Pitch, t.PitchDiameter, threadFriction/cosFlank) + headFriction*bearingDiameter/2
}

// threadArm is thread torque per axial force, m: (d2/2) tan(lambda + rho), where
// flankFriction = tan rho is the friction over the cosine of the flank half angle
// (1 for a square thread). A negative lead is a screw turned against its force.
func threadArm(lead, pitchDiameter, flankFriction float64) float64 {
	slope := lead / (math.Pi * pitchDiameter)
	return pitchDiameter / 2 * (slope + flankFriction) / (1 - flankFriction*slope)
}
