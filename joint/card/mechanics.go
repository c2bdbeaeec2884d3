package card

import "clampodds/joint/force"

// findFit compares the slot with what is in it.
func (edge *edgeState) findFit() {
	in := edge.in
	edge.expansion = force.Expansion(in[slotWidth], in[flangeThickness], in[clampHeight])
	// Beyond its own height a piece has left its neighbour's ramp.
	edge.travel = min(in[clampTravel], in[clampHeight])
	edge.fit = force.FitOf(edge.expansion, edge.travel)
	edge.overlap = force.RampOverlap(in[clampHeight], edge.expansion, in[clampRampAngle])
}

// tighten follows the force from the torque to the pieces.
func (edge *edgeState) tighten(thread *force.Thread, train force.Train) {
	jointTemperature := edge.joint
	in := edge.in
	edge.tightened = force.AxialForce(in[screwTorque], in[screwPrevailing], in[screwThreadFriction], in[screwHeadFriction], in[screwBearingDiameter], thread)
	edge.threadTorque = force.ThreadTorque(edge.tightened, in[screwThreadFriction], thread) + min(in[screwTorque], in[screwPrevailing])
	change := edge.preloadChange(thread, jointTemperature)
	edge.axial = force.Preload(edge.tightened, in[screwPreloadLoss], change)
	edge.spare = edge.spareForce(thread, change)
	train.Solve(force.TrainInputs{
		Axial:        edge.axial,
		RampAngle:    in[clampRampAngle],
		Skew:         in[clampSkew],
		RampFriction: in[frictionRamp],
		WallFriction: in[frictionWall],
		WallShare:    in[frictionWallShare],
	}, &edge.train)
}

// spareForce is the screw force now as it would be if a screw could push: below 0 by
// as much as is missing, so that it has a slope where the force ends.
func (edge *edgeState) spareForce(thread *force.Thread, change float64) float64 {
	in := edge.in
	if net := in[screwTorque] - in[screwPrevailing]; net <= 0 {
		return net / force.TorqueFor(1, 0, in[screwThreadFriction], in[screwHeadFriction], in[screwBearingDiameter], thread)
	}
	kept := edge.tightened * (1 - in[screwPreloadLoss])
	if kept <= 0 {
		return 0
	}
	return kept + change
}

// clamped reports whether the train presses on the flange.
func (edge *edgeState) clamped() bool {
	outward, _ := edge.train.FaceForce()
	return outward > 0
}

// preloadChange is what warming to the joint's temperature adds to the screw
// force, N; 0 when its inputs are not given. Screw (its stress area throughout)
// and train are uniform over the clamped length, which then cancels.
func (edge *edgeState) preloadChange(thread *force.Thread, jointTemperature float64) float64 {
	in := edge.in
	if in[screwExpansion] == 0 {
		return 0
	}
	mismatch := force.Mismatch{
		TrainExpansion:  in[clampExpansion],
		ScrewExpansion:  in[screwExpansion],
		Length:          1,
		ScrewCompliance: 1 / (in[screwModulus] * thread.StressArea),
		TrainCompliance: 1 / (in[bodyProperty(clampBody, modulus)] * in[clampScrewTrainArea]),
	}
	return mismatch.PreloadChange(jointTemperature - in[screwAssemblyTemperature])
}

// screwUtilisation and strippingUtilisation judge the larger of the force after
// tightening and the force now; 0 when not judged.
func (edge *edgeState) screwUtilisation(thread *force.Thread) float64 {
	if edge.in[screwYield] == 0 {
		return 0
	}
	return force.ScrewUtilisation(max(edge.tightened, edge.axial), edge.threadTorque, edge.in[screwYield], thread)
}

func (edge *edgeState) strippingUtilisation(thread *force.Thread) float64 {
	if edge.in[screwEngagement] == 0 {
		return 0
	}
	return force.StrippingUtilisation(max(edge.tightened, edge.axial), edge.in[screwEngagement], edge.in[screwNutShear], 0, thread)
}

// heldForce is the sum of the forces between chassis and card with its clamp, N:
// lower rail, upper rail, side wall.
func (edge *edgeState) heldForce() float64 {
	outward, sideways := edge.train.FaceForce()
	return 2*outward + sideways
}
