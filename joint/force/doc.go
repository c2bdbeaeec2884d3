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
