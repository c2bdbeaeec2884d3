package card

import "clampodds/joint/force"

// findFit compares the slot with what is in it.
func (edge *edgeState) findFit() {
	in := &edge.in
	edge.expansion = force.Expansion(in.at(slotWidth), in.at(flangeThickness), in.at(clampHeight))
	// Beyond its own height a piece has left its neighbour's ramp.
	edge.travel = min(in.at(clampTravel), in.at(clampHeight))
	edge.fit = force.FitOf(edge.expansion, edge.travel)
	edge.ramp.Turn(in.at(clampRampAngle))
	edge.overlap = edge.ramp.Overlap(in.at(clampHeight), edge.expansion)
}

// tighten follows the force from the torque to the pieces.
func (edge *edgeState) tighten(thread *force.Thread, train force.Train) {
	jointTemperature := edge.joint
	in := &edge.in
	edge.tightened = force.AxialForce(in.at(screwTorque), in.at(screwPrevailing), in.at(screwThreadFriction), in.at(screwHeadFriction), in.at(screwBearingDiameter), thread)
	edge.threadTorque = float64(force.ThreadTorque(edge.tightened, in.at(screwThreadFriction), thread)) + min(in.at(screwTorque), in.at(screwPrevailing))
	change := edge.preloadChange(thread, jointTemperature)
	edge.axial = force.Preload(edge.tightened, in.at(screwPreloadLoss), change)
	edge.spare = edge.spareForce(thread, change)
	train.SolveAt(force.TrainInputs{
		Axial:        edge.axial,
		RampAngle:    in.at(clampRampAngle),
		Skew:         in.at(clampSkew),
		RampFriction: in.at(frictionRamp),
		WallFriction: in.at(frictionWall),
		WallShare:    in.at(frictionWallShare),
	}, &edge.ramp, &edge.skew, &edge.train)
}

// spareForce is the screw force now as it would be if a screw could push: below 0 by
// as much as is missing, so that it has a slope where the force ends.
func (edge *edgeState) spareForce(thread *force.Thread, change float64) float64 {
	in := &edge.in
	if net := in.at(screwTorque) - in.at(screwPrevailing); net <= 0 {
		return net / force.TorqueFor(1, 0, in.at(screwThreadFriction), in.at(screwHeadFriction), in.at(screwBearingDiameter), thread)
	}
	kept := float64(edge.tightened * (1 - in.at(screwPreloadLoss)))
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
	in := &edge.in
	if in.at(screwExpansion) == 0 {
		return 0
	}
	mismatch := force.Mismatch{
		TrainExpansion:  in.at(clampExpansion),
		ScrewExpansion:  in.at(screwExpansion),
		Length:          1,
		ScrewCompliance: 1 / (in.at(screwModulus) * thread.StressArea),
		TrainCompliance: 1 / (in.at(bodyProperty(clampBody, modulus)) * in.at(clampScrewTrainArea)),
	}
	return mismatch.PreloadChange(jointTemperature - in.at(screwAssemblyTemperature))
}

// screwUtilisation and strippingUtilisation judge the larger of the force after
// tightening and the force now; 0 when not judged.
func (edge *edgeState) screwUtilisation(thread *force.Thread) float64 {
	if edge.in.at(screwYield) == 0 {
		return 0
	}
	return force.ScrewUtilisation(max(edge.tightened, edge.axial), edge.threadTorque, edge.in.at(screwYield), thread)
}

func (edge *edgeState) strippingUtilisation(thread *force.Thread) float64 {
	if edge.in.at(screwEngagement) == 0 {
		return 0
	}
	return force.StrippingUtilisation(max(edge.tightened, edge.axial), edge.in.at(screwEngagement), edge.in.at(screwNutShear), 0, thread)
}

// heldForce is the sum of the forces between chassis and card with its clamp, N:
// lower rail, upper rail, side wall.
func (edge *edgeState) heldForce() float64 {
	outward, sideways := edge.train.FaceForce()
	return 2*outward + sideways
}
